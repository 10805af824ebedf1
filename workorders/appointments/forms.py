"""The forms of appointments and bays."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import time
from decimal import Decimal
from typing import Any, ClassVar

from django import forms

from engineering.canonical import plain_decimal
from vessels.forms.fields import RecordForm, whole_field
from vessels.models import Vessel
from web.fields import FigureField
from workorders.appointments.models import KINDS, WHENS, Bay
from workorders.appointments.queries import bays
from workorders.appointments.times import LEAST_MINUTES, MOST_DAYS, MOST_MINUTES
from workorders.forms.fields import DayField, TechnicianField, WordsField
from workorders.models import Job


class ClockField(forms.TimeField):
    """A time of day, picked or typed; kept as “09:30”."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(
            widget=forms.TimeInput(attrs={"type": "time"}, format="%H:%M"),
            input_formats=["%H:%M", "%H:%M:%S", "%I:%M %p", "%I:%M%p", "%I %p", "%I%p"],
            **kwargs,
        )
        self.error_messages["invalid"] = "Enter a time such as 9:30 AM or 14:30."

    def clean(self, value: Any) -> str:
        """The time as it is kept; nothing where none was said."""
        said = super().clean(value)
        return said.strftime("%H:%M") if isinstance(said, time) else ""


class LastingField(FigureField):
    """How long, in hours; kept in minutes. Its limits are told in hours, as it is typed."""

    def __init__(self, **kwargs: Any) -> None:
        least, most = (round(Decimal(minutes) / 60, 2) for minutes in (LEAST_MINUTES, MOST_MINUTES))
        super().__init__(min_value=least, max_value=most, decimal_places=2, **kwargs)
        self.error_messages["min_value"] = f"No less than {plain_decimal(least)} h, which is {LEAST_MINUTES} minutes."
        self.error_messages["max_value"] = f"No more than {plain_decimal(most)} h."

    def clean(self, value: Any) -> Any:
        """The minutes."""
        hours = super().clean(value)
        return None if hours is None else int((hours * 60).to_integral_value())


class AppointmentForm(RecordForm):
    """An appointment, new or changed. ``answers()`` goes into ``plan_appointment``."""

    kind = forms.ChoiceField(label="What for", choices=KINDS)
    day = DayField(label="Day")
    when = forms.ChoiceField(label="When", choices=WHENS, initial="time", widget=forms.RadioSelect)
    at = ClockField(label="Time", required=False)
    minutes = LastingField(label="How long", required=False)
    days = whole_field("For how many days", least=1, most=MOST_DAYS)
    bay = forms.ModelChoiceField(queryset=Bay.objects.none(), label="Bay", required=False, empty_label="None")
    technician = TechnicianField()
    vessel = forms.ModelChoiceField(queryset=Vessel.objects.all(), required=False, widget=forms.HiddenInput)
    job = forms.ModelChoiceField(queryset=Job.objects.all(), required=False, widget=forms.HiddenInput)
    name = forms.CharField(
        label="Whose boat, or which", max_length=80, required=False, help_text="For a boat that is not on record yet."
    )
    phone = forms.CharField(label="Phone", max_length=40, required=False)
    remark = WordsField(label="Remark", rows=2, max_length=1000, required=False, help_text="What it is about.")
    reason = forms.CharField(label="Why it is moved or changed", max_length=200, required=False)

    leave_out_of_changes: ClassVar[tuple[str, ...]] = (*RecordForm.leave_out_of_changes, "reason")
    look: ClassVar[dict[str, str]] = {
        "kind": "half", "day": "half", "at": "third", "minutes": "third", "days": "third", "bay": "half",
        "technician": "half", "name": "half", "phone": "half",
    }  # fmt: skip
    units: ClassVar[dict[str, str]] = {"minutes": "h"}
    about_boat: ClassVar[tuple[str, ...]] = ("name", "phone")

    def __init__(self, *args: Any, typed: Mapping[str, Any] | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["bay"].queryset = bays()  # type: ignore[attr-defined]
        self.fields["days"].help_text = "Only for whole days."
        if self.record is None:
            del self.fields["reason"]
        elif self.record.minutes is not None:  # type: ignore[attr-defined]
            self.initial["minutes"] = plain_decimal(round(Decimal(self.record.minutes) / 60, 2))  # type: ignore[attr-defined]
        if self.record is not None and self.record.bay is not None and self.record.bay.ended_at is not None:  # type: ignore[attr-defined]
            self.fields["bay"].queryset = bays() | Bay.objects.filter(pk=self.record.bay_id)  # type: ignore[attr-defined]
        if typed is not None:
            self.initial.update({name: typed[name] for name in self.fields if name in typed})

    def clean_days(self) -> int:
        """One, where nothing was said."""
        return self.cleaned_data["days"] or 1

    def changes(self) -> dict[str, Any]:
        """What the action gets; of whose boat it is, asked only where none is chosen, what was asked."""
        told = super().changes()
        return {name: value for name, value in told.items() if name not in self.about_boat or name in self.data}

    @property
    def main_fields(self) -> list[forms.BoundField]:
        """What stands below the boat."""
        return [field for field in self.visible_fields() if field.name not in self.about_boat]

    @property
    def boat_fields(self) -> list[forms.BoundField]:
        """What is asked of a boat that is not on record."""
        return [self[name] for name in self.about_boat]


class BayForm(RecordForm):
    """A bay, new or changed."""

    name = forms.CharField(max_length=40, help_text="Such as “Lift”, “Bay 2” or “Slip A-1”.")
    note = forms.CharField(max_length=120, required=False, help_text="Such as how long or wide a boat may be.")
    position = whole_field("Order on pages", most=999, hint="Smaller stands first.")

    look: ClassVar[dict[str, str]] = {"name": "third", "note": "third", "position": "third"}

    def clean_position(self) -> int:
        """The first, where nothing was said."""
        return self.cleaned_data["position"] or 0
