"""Fields and the base that the forms of this floor share."""

from __future__ import annotations

import uuid
from decimal import Decimal
from typing import Any, ClassVar

from django import forms
from django.db import models
from django.utils import timezone

from engineering.canonical import plain_decimal
from vessels.log.chain import FUTURE_ALLOWED
from web.fields import MomentField


class WhenField(MomentField):
    """When something happened, in the shop's zone; empty means now."""

    def __init__(self, **kwargs: Any) -> None:
        defaults: dict[str, Any] = {
            "label": "When",
            "required": False,
            "help_text": "Leave empty to use the current time. An earlier time is fine.",
            "widget": forms.DateTimeInput(attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M"),
        }
        super().__init__(**{**defaults, **kwargs})
        self.error_messages["invalid"] = "Enter a date and time, such as 2026-05-01 14:30."

    def clean(self, value: Any) -> Any:
        """Enter a time in the past."""
        when = super().clean(value)
        if when is not None and when > timezone.now() + FUTURE_ALLOWED:
            raise forms.ValidationError("This is in the future. Enter a time in the past.")
        return when


class EntryForm(forms.Form):
    """A form whose sending makes a log entry. Its id is in the form, so that sending it twice makes one."""

    entry_id = forms.UUIDField(required=False, widget=forms.HiddenInput(attrs={"data-entry-id": ""}))

    look: ClassVar[dict[str, str]] = {}
    sections: ClassVar[list[tuple[str, str, list[str]]]] = []

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.initial.setdefault("entry_id", uuid.uuid4())
        self.fields["entry_id"].error_messages["invalid"] = "Reload this page and send the form again."

    def answers(self) -> dict[str, Any]:
        """What the action is called with."""
        return dict(self.cleaned_data)


class RecordForm(EntryForm):
    """A form for adding a record, and for changing one with the version that the person saw."""

    seen_version = forms.IntegerField(required=False, widget=forms.HiddenInput)
    leave_out_of_changes: ClassVar[tuple[str, ...]] = ("entry_id", "seen_version", "happened_at", "text")

    def __init__(self, *args: Any, record: models.Model | None = None, **kwargs: Any) -> None:
        self.record = record
        super().__init__(*args, **kwargs)
        if record is not None:
            for name in self.fields:
                if hasattr(record, name):
                    self.initial.setdefault(name, _as_typed(getattr(record, name)))
            self.initial["seen_version"] = record.version  # type: ignore[attr-defined]

    def answers(self) -> dict[str, Any]:
        """What the adding action is called with."""
        return {name: value for name, value in self.cleaned_data.items() if name != "seen_version"}

    def changes(self) -> dict[str, Any]:
        """What the changing action gets as ``changes``."""
        return {name: value for name, value in self.answers().items() if name not in self.leave_out_of_changes}

    @property
    def version(self) -> int:
        """The version that the person saw."""
        seen = self.cleaned_data.get("seen_version")
        return int(seen) if seen is not None else 0


def _as_typed(value: Any) -> Any:
    """A figure as somebody would type it: without zeros at its end."""
    return plain_decimal(value) if isinstance(value, Decimal) else value


def year_field(label: str) -> forms.IntegerField:
    """A year with four digits."""
    field = forms.IntegerField(
        label=label,
        required=False,
        min_value=1900,
        max_value=timezone.now().year + 2,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
    )
    field.error_messages["invalid"] = "Enter a year with four digits, such as 2019."
    return field


def whole_field(
    label: str, *, required: bool = False, least: int = 0, most: int = 100_000, hint: str = ""
) -> forms.IntegerField:
    """A whole number that is not negative."""
    field = forms.IntegerField(
        label=label,
        required=required,
        min_value=least,
        max_value=most,
        help_text=hint,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
    )
    field.error_messages["invalid"] = "Enter a whole number, such as 3800."
    return field
