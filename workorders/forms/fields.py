"""Fields that the forms of jobs share."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from django import forms
from django.forms.models import ModelChoiceIterator

from staff.models import Person
from staff.queries import technicians
from vessels.models import Engine, Vessel

MOST_WORDS = 5000


class WordsField(forms.CharField):
    """What people write, over several lines. Line ends are kept as one sign, however the browser sends them."""

    def __init__(self, *, rows: int = 3, **kwargs: Any) -> None:
        kwargs.setdefault("max_length", MOST_WORDS)
        kwargs.setdefault("widget", forms.Textarea(attrs={"rows": rows}))
        super().__init__(**kwargs)

    def to_python(self, value: Any) -> str:
        """The text with plain line ends."""
        return str(super().to_python(value)).replace("\r\n", "\n").replace("\r", "\n")


class DayField(forms.DateField):
    """A day, picked or typed."""

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("widget", forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"))
        super().__init__(**kwargs)
        self.error_messages["invalid"] = "Enter a date such as 2026-05-01."


class _Names(ModelChoiceIterator[Person]):
    """Keys and names in one plain query: a cursor on the server and a model for each person would be dear."""

    def __iter__(self) -> Iterator[Any]:
        """The choices."""
        yield ("", self.field.empty_label or "")
        yield from self.queryset.values_list("pk", "name")


class TechnicianField(forms.ModelChoiceField[Person]):
    """Who is to do it."""

    iterator = _Names

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(
            queryset=technicians(), required=False, label="Technician", empty_label="Not assigned", **kwargs
        )

    def label_from_instance(self, obj: Person) -> str:
        """The name."""
        return obj.name


class PeopleField(forms.ModelMultipleChoiceField[Person]):
    """Several people of the shop, as a list in order of their keys."""

    widget = forms.CheckboxSelectMultiple

    def clean(self, value: Any) -> list[Person]:  # type: ignore[override]
        """The people who were ticked."""
        return sorted(super().clean(value), key=lambda person: person.pk)

    def label_from_instance(self, obj: Person) -> str:
        """The name."""
        return obj.name


def engine_field(vessel: Vessel) -> forms.ModelChoiceField[Engine]:
    """Which of a boat's engines a concern is about."""
    return forms.ModelChoiceField(
        queryset=vessel.engines.filter(removed_on=None),
        required=False,
        label="About",
        empty_label="Boat, or not known",
    )
