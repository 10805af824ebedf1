"""Forms say when an answer does not do: the framework's sentences in the words of the house."""

from __future__ import annotations

from django import forms
from django.core import validators

FIELDS: dict[type[forms.Field], dict[str, str]] = {
    forms.Field: {"required": "Fill this in."},
    forms.IntegerField: {"invalid": "Enter a whole number."},
    forms.DecimalField: {"invalid": "Enter a number."},
    forms.DateField: {"invalid": "Enter a date such as 2026-05-01."},
    forms.DateTimeField: {"invalid": "Enter a date and time such as 2026-05-01 14:30."},
    forms.UUIDField: {"invalid": "Reload this page and send the form again."},
    forms.ChoiceField: {"invalid_choice": "Choose one from the list."},
    forms.MultipleChoiceField: {"invalid_choice": "Choose from the list.", "invalid_list": "Choose from the list."},
    forms.ModelChoiceField: {"invalid_choice": "Choose one from the list; this one is no longer on it."},
    forms.ModelMultipleChoiceField: {
        "invalid_choice": "Choose from the list; %(value)s is no longer on it.",
        "invalid_list": "Choose from the list.",
        "invalid_pk_value": "Choose from the list.",
    },
    forms.FileField: {
        "invalid": "No file arrived. Choose it again.",
        "missing": "No file arrived. Choose it again.",
        "empty": "This file is empty.",
        "max_length": "The name of this file is too long: no more than %(max)d characters.",
    },
    forms.ImageField: {"invalid_image": "This is not a picture that can be read."},
}
VALIDATORS: dict[type[object], str] = {
    validators.MinValueValidator: "No less than %(limit_value)s.",
    validators.MaxValueValidator: "No more than %(limit_value)s.",
    validators.MinLengthValidator: "At least %(limit_value)d characters; this has %(show_value)d.",
    validators.MaxLengthValidator: "No more than %(limit_value)d characters; this has %(show_value)d.",
    validators.EmailValidator: "Enter an email address such as name@example.com.",
    validators.ProhibitNullCharactersValidator: "This contains a character that cannot be stored. Type it again.",
    validators.URLValidator: "Enter a web address such as https://example.com/.",
}


def set_sentences() -> None:
    """Give every form field and validator that has no sentence of its own the house's one."""
    for field, sentences in FIELDS.items():
        field.default_error_messages = {**field.default_error_messages, **sentences}
    for validator, sentence in VALIDATORS.items():
        validator.message = sentence  # type: ignore[attr-defined]


def within(text: str) -> str:
    """What a person typed, to stand inside a sentence of ours: on one line, without the full stop of its own end."""
    return " ".join(text.split()).rstrip(" .;:,")
