"""Forms of engines and their hour meters."""

from __future__ import annotations

from decimal import Decimal
from typing import Any, ClassVar

from django import forms
from django.core.validators import MinValueValidator
from django.utils import timezone

from staff.queries import shop_profile
from vessels.forms.fields import EntryForm, RecordForm, WhenField, whole_field, year_field
from vessels.hours import hours_around, outrun, shown_around, slightly_outrun, true_hours
from vessels.models import Engine, EngineFamily, Vessel
from vessels.models.searching import squeeze, squeezed
from vessels.positions import taken_words
from vessels.queries.hours import HoursOnRecord, hours_on_record
from web.fields import FigureField


def hours_field(label: str, *, required: bool = True, hint: str = "") -> FigureField:
    """Hours as a meter shows them."""
    field = FigureField(label=label, required=required, help_text=hint, max_digits=9, decimal_places=1)
    field.validators.append(MinValueValidator(Decimal(0), "Enter the hours as the meter shows them, such as 412.5."))
    return field


def told_field(label: str) -> FigureField:
    """An engine's true hours as something else than its meter tells them."""
    return hours_field(
        label,
        required=False,
        hint="Only where the meter does not tell them, and something else does: the control unit, the owner’s book. "
        "Say which in the note.",
    )


class EngineForm(RecordForm):
    """An engine, added or changed. ``answers()`` goes into ``add_engine``, ``changes()`` into ``change_engine``.

    ``twins`` are engines with the same serial, for the page to show: an engine may have moved from boat to boat.
    """

    position = forms.ChoiceField(label="Position", choices=Engine.POSITIONS, initial="single", widget=forms.RadioSelect)
    fuel = forms.ChoiceField(label="Fuel", choices=Engine.FUELS, initial="gasoline", widget=forms.RadioSelect)
    maker = forms.CharField(label="Maker", max_length=60, required=False)
    model = forms.CharField(label="Model", max_length=60, required=False)
    family = forms.ModelChoiceField(
        label="Family",
        queryset=EngineFamily.objects.all(),
        required=False,
        empty_label="Not in a family",
        help_text="Engines of one family share spec cards.",
    )
    new_family = forms.CharField(
        label="Or a new family",
        max_length=60,
        required=False,
        help_text="Of the maker above. It is added with the engine.",
    )
    serial = forms.CharField(
        label="Serial number",
        max_length=40,
        required=False,
        widget=forms.TextInput(attrs={"autocomplete": "off", "autocapitalize": "characters", "spellcheck": "false"}),
    )
    year = year_field("Year")
    power = FigureField(label="Rated power", required=False, min_value=Decimal(0), max_digits=8, decimal_places=2)
    power_unit = forms.ChoiceField(
        label="Unit of power", choices=[("hp", "hp"), ("kW", "kW"), ("PS", "PS")], required=False
    )
    rated_rpm_low = whole_field("Rated rpm, from")
    rated_rpm_high = whole_field("Rated rpm, to")
    gear_ratio = FigureField(
        label="Gear ratio",
        required=False,
        min_value=Decimal(0),
        max_digits=6,
        decimal_places=3,
        help_text="Such as 1.97.",
    )
    propeller = forms.CharField(
        label="Propeller", max_length=60, required=False, help_text="Diameter × pitch, blades, hand."
    )

    units: ClassVar[dict[str, str]] = {"power": "power_unit", "rated_rpm_low": "rpm", "rated_rpm_high": "rpm"}
    look: ClassVar[dict[str, str]] = {
        "maker": "half", "model": "half", "family": "half", "new_family": "half", "serial": "two-thirds",
        "year": "third", "rated_rpm_low": "half", "rated_rpm_high": "half", "gear_ratio": "half", "propeller": "half",
        "meter_shown": "half", "true_hours": "half",
    }  # fmt: skip
    sections: ClassVar[list[tuple[str, str, list[str]]]] = [
        ("Where it is", "", ["position", "fuel"]),
        ("What it is", "", ["maker", "model", "family", "new_family", "serial", "year"]),
        ("Hours", "", ["meter_shown", "true_hours"]),
        ("Ratings", "As on its plate.", ["power", "rated_rpm_low", "rated_rpm_high", "gear_ratio", "propeller"]),
    ]
    leave_out_of_changes: ClassVar[tuple[str, ...]] = (*RecordForm.leave_out_of_changes, "new_family")

    def __init__(self, *args: Any, boat: Vessel | None = None, **kwargs: Any) -> None:
        self.boat = boat
        super().__init__(*args, **kwargs)
        self.initial.setdefault("power_unit", "hp" if shop_profile().units == "us" else "kW")
        self.twins: list[Engine] = []

    def clean(self) -> dict[str, Any]:
        """The range is in order, and a new family has a maker."""
        data = super().clean() or self.cleaned_data
        data["power_unit"] = data.get("power_unit") or self.initial["power_unit"]
        low, high = data.get("rated_rpm_low"), data.get("rated_rpm_high")
        if low is not None and high is not None and high < low:
            self.add_error("rated_rpm_high", f"Below the beginning of {low} rpm. Swap the two.")
        if data.get("new_family"):
            if data.get("family"):
                self.add_error("new_family", "Choose a family or write a new one, not both.")
            if not data.get("maker"):
                self.add_error("maker", "Enter the maker of the new family.")
        serial = squeeze(data.get("serial") or "")
        if serial:
            same = Engine.objects.annotate(tight=squeezed("serial")).filter(tight=serial).select_related("vessel")
            self.twins = list((same.exclude(pk=self.record.pk) if self.record else same)[:3])
        self._tell_taken_position(data)
        return data

    def _tell_taken_position(self, data: dict[str, Any]) -> None:
        """Of two engines in one place it is told with everything else that is wrong, and not after that is mended.

        Where nothing else is wrong the action tells it: it knows whether the same form was sent before.
        """
        engine = self.record if isinstance(self.record, Engine) else None
        boat, position = engine.vessel if engine else self.boat, data.get("position")
        if boat is None or not position or not self.errors or (engine is not None and engine.removed_on is not None):
            return
        sentence = taken_words(boat, position, but=engine)
        if sentence:
            self.add_error("position", sentence)


class NewEngineForm(EngineForm):
    """An engine that is added, with what its meter shows."""

    meter_shown = hours_field("Hour meter shows", required=False)
    true_hours = hours_field("True hours", required=False, hint="Only if the meter is not the engine's first one.")
    units: ClassVar[dict[str, str]] = {**EngineForm.units, "meter_shown": "h", "true_hours": "h"}


class RemoveForm(EntryForm):
    """An engine or unit removed."""

    happened_at = WhenField()
    text = forms.CharField(
        label="Why, and where it went", required=False, max_length=5000, widget=forms.Textarea(attrs={"rows": 3})
    )
    look: ClassVar[dict[str, str]] = {"happened_at": "half"}


class HoursForm(EntryForm):
    """What an hour meter shows."""

    shown = hours_field("Hour meter shows")
    really = forms.BooleanField(label="The meter really shows this", required=False, widget=forms.HiddenInput)
    happened_at = WhenField(
        label="Read", help_text="Leave empty to use the current time. For an earlier reading, enter its time."
    )
    text = forms.CharField(label="Note", required=False, max_length=5000, widget=forms.Textarea(attrs={"rows": 2}))
    units: ClassVar[dict[str, str]] = {"shown": "h", "told_hours": "h"}
    look: ClassVar[dict[str, str]] = {"shown": "half", "told_hours": "half", "happened_at": "half"}

    def __init__(self, *args: Any, engine: Engine, on_record: HoursOnRecord | None = None, **kwargs: Any) -> None:
        self.engine = engine
        self.on_record = on_record or hours_on_record([engine])[engine.pk]
        super().__init__(*args, **kwargs)
        self.fields["shown"].widget.attrs |= {"autocomplete": "off", "data-read-now": ""}
        self.fields["shown"].help_text = self.on_record.words()
        if engine.position != "single":
            self.fields["shown"].label = f"Hour meter shows ({engine.get_position_display().lower()})"
        if self.on_record.unread_since is not None:
            self.fields["told_hours"] = told_field("Engine’s hours in all")
            self.order_fields(["entry_id", "shown", "really", "told_hours", "happened_at", "text"])

    def clean(self) -> dict[str, Any]:
        """Hours do not pass faster than the clock, unless the person says that the meter really shows it."""
        data = super().clean() or self.cleaned_data
        shown, when = data.get("shown"), data.get("happened_at") or timezone.now()
        if shown is None or "happened_at" in self.errors:
            return data
        meter = self.engine.meters.filter(fitted_at__lte=when).order_by("fitted_at", "pk").last()
        if meter is None or data.get("really"):
            return data
        true = true_hours(meter, shown)
        read, around = (shown, shown_around(meter, when)) if true is None else (true, hours_around(self.engine, when))
        faster = outrun(read, when, around) or slightly_outrun(read, when, around)
        if faster is not None:
            self.fields["really"].widget = forms.CheckboxInput()
            self.add_error("shown", f"{faster} If the meter really shows this, select the line below.")
        return data

    def answers(self) -> dict[str, Any]:
        """What ``log_hours`` is called with."""
        return {name: value for name, value in super().answers().items() if name != "really"}


class MeterForm(EntryForm):
    """An hour meter replaced."""

    old_shown = hours_field(
        "The old meter showed",
        required=False,
        hint="Leave it empty if it was dead, had stopped, or could not be read.",
    )
    told_hours = told_field("Engine’s hours by then")
    new_shown = hours_field("The new meter begins at")
    happened_at = WhenField(label="Replaced")
    text = forms.CharField(label="Note", required=False, max_length=5000, widget=forms.Textarea(attrs={"rows": 2}))
    units: ClassVar[dict[str, str]] = {"old_shown": "h", "told_hours": "h", "new_shown": "h"}
    look: ClassVar[dict[str, str]] = {
        "old_shown": "half", "told_hours": "half", "new_shown": "half", "happened_at": "half",
    }  # fmt: skip

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.initial.setdefault("new_shown", Decimal("0.0"))
