"""Forms for readings, one by one and as a sheet."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from typing import Any
from uuid import uuid4

from django import forms

from engineering.measures import UNITS, Kind, MeasureProblem, parse_measure, preferred_unit, units_of
from findings.faults.models import Scan
from findings.instruments.forms import MadeWithForm
from findings.readings.checking import ask_about, impossible
from findings.readings.models import Parameter
from web.fields import MomentField

PLACES = Decimal("0.0001")


class MeasureField(forms.CharField):
    """A value with or without its unit; cleaned by the form, which knows the default unit."""

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("required", False)
        kwargs.setdefault("max_length", 40)
        super().__init__(**kwargs)


def read_measure(text: str, unit: str) -> tuple[Decimal, str]:
    """The value and unit that a person wrote, with at most four decimals.

    Raises:
        forms.ValidationError: with the sentence that says how to mend it.
    """
    try:
        measure = parse_measure(text, default_unit=unit)
    except MeasureProblem as problem:
        raise forms.ValidationError(problem.sentence) from problem
    if measure.value != measure.value.quantize(PLACES):
        raise forms.ValidationError("At most four decimals are kept. Round the value as the instrument shows it.")
    return measure.value, measure.unit


def unit_choices(kinds: Iterable[Kind]) -> list[tuple[str, str]]:
    """Units of some kinds as choices."""
    return [(unit.key, unit.label or "plain number") for kind in kinds for unit in units_of(kind)]


class SheetForm(MadeWithForm):
    """What all readings of one sitting have in common."""

    entry_id = forms.UUIDField(required=False, initial=uuid4, widget=forms.HiddenInput(attrs={"data-entry-id": ""}))
    phase = forms.ChoiceField(choices=Scan.PHASES, widget=forms.RadioSelect, label="When in the job")
    hours = MeasureField(label="Hour meter shows")
    happened_at = MomentField(
        required=False,
        label="Read at",
        help_text="Leave empty to use the current time.",
        widget=forms.DateTimeInput(attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M"),
    )
    text = forms.CharField(required=False, label="Remark", widget=forms.Textarea(attrs={"rows": 2}))

    look = {"hours": "half", "happened_at": "half", "registered": "half", "instrument": "half"}
    units = {"hours": "h"}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.meters: list[str] = []

    def ask_engine(self, engines: list[tuple[str, str]]) -> None:
        """Ask which engine it is of: the boat has several, and neither the address nor the job names one."""
        self.fields["engine"] = forms.ChoiceField(
            choices=[*engines, ("boat", "The boat itself")],
            label="Read on",
            widget=forms.RadioSelect,
            error_messages={"required": "Say which engine these values are of. Nothing is logged yet."},
        )

    def ask_meters(self, engines: Iterable[tuple[int, str, str]]) -> None:
        """Ask what each meter shows of the engines beside the first one: key, label, what is known."""
        self.meters = []
        for key, label, known in engines:
            name = f"hours-{key}"
            field = MeterField(label=label, help_text=known)
            field.widget.attrs |= {"autocomplete": "off", "data-read-now": ""}
            self.fields[name] = field
            self.look, self.units = {**self.look, name: "half"}, {**self.units, name: "h"}
            self.meters.append(name)

    @property
    def meter_fields(self) -> list[forms.BoundField]:
        """The meters of the engines beside the first one."""
        return [self[name] for name in self.meters]

    def clean_hours(self) -> Decimal | None:
        """Hours as a number, in hours."""
        return read_hours(self.cleaned_data["hours"])


def read_hours(text: str) -> Decimal | None:
    """What a meter shows, in hours; None for nothing.

    Raises:
        forms.ValidationError: it is no number of hours.
    """
    if not text:
        return None
    value, unit = read_measure(text, "h")
    if unit != "h" or value < 0:
        raise forms.ValidationError("Enter the hours as the meter shows them, such as 412.5.")
    return value


class MeterField(MeasureField):
    """What the hour meter of one engine shows, in hours."""

    def clean(self, value: Any) -> Decimal | None:
        """Hours as a number, in hours."""
        return read_hours(super().clean(value))


def clean_values(form: forms.Form, data: dict[str, Any], unit: str, *, of: str) -> dict[str, Any]:
    """Parse value, lowest and highest of the parameter ``of``; each problem or question goes beside its own field."""
    data["number"], data["low_seen"], data["high_seen"] = None, None, None
    extremes = (("minimum", "low_seen"), ("maximum", "high_seen"))
    if not data.get("value"):
        for name, _ in extremes:
            if data.get(name):
                form.add_error("value", "There is a lowest or highest value, but no value. Enter it, or empty the row.")
        return data
    try:
        data["number"], data["unit"] = read_measure(data["value"], unit)
    except forms.ValidationError as problem:
        form.add_error("value", problem)
        return data
    for name, target in extremes:
        if not data.get(name):
            continue
        try:
            value, found = read_measure(data[name], data["unit"])
        except forms.ValidationError as problem:
            form.add_error(name, problem)
            continue
        if found != data["unit"]:
            form.add_error(name, "Use the same unit as for the value.")
            continue
        data[target] = value
    figures = {"value": data["number"], "minimum": data["low_seen"], "maximum": data["high_seen"]}
    wrong = impossible(data["unit"], figures, of=of)
    for name, sentence in (wrong or ask_about(of, data["unit"], figures)).items():
        form.add_error(name, sentence)
    return data


class _UnitForm(forms.Form):
    """With a field ``unit``: of any kind, or the usual one where none is chosen."""

    def __init__(self, *args: Any, system: str = "us", **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.system = system
        field = self.fields["unit"]
        assert isinstance(field, forms.ChoiceField)  # noqa: S101  (declared by each)
        field.choices = [("", "usual unit"), *unit_choices(Kind)]


class OtherForm(_UnitForm):
    """A reading that no spec card lists: a parameter of the list, or a new one."""

    parameter = forms.ModelChoiceField(Parameter.objects.all(), required=False, empty_label="Choose what was measured")
    parameter_name = forms.CharField(max_length=60, required=False, label="Or something new")
    value = MeasureField()
    unit = forms.ChoiceField(required=False)
    condition = forms.CharField(max_length=120, required=False, help_text="Such as: warm, 2000 rpm, no load.")
    minimum = MeasureField(label="Lowest seen")
    maximum = MeasureField(label="Highest seen")

    look = {
        "parameter": "half",
        "parameter_name": "half",
        "value": "half",
        "condition": "half",
        "minimum": "quarter",
        "maximum": "quarter",
    }
    units = {"value": "unit"}
    asked_sometimes = frozenset({"parameter", "parameter_name", "value", "unit"})

    @property
    def is_begun(self) -> bool:
        """Whether something stands in it: then it is shown unfolded."""
        return any(self[name].value() or self[name].errors for name in ("parameter", "parameter_name", "value"))

    def clean(self) -> dict[str, Any]:
        """Find the parameter and turn the words into values."""
        data: dict[str, Any] = super().clean() or {}
        parameter, name, value = data.get("parameter"), data.get("parameter_name"), data.get("value")
        if not any([parameter, name, value, data.get("minimum"), data.get("maximum")]):
            data["number"] = None
            return data
        if parameter is None and not name:
            self.add_error("parameter", "Choose what was measured, or write its name.")
        if name and not data.get("unit"):
            self.add_error("unit", "Choose the unit, so that a new parameter knows what it measures.")
        if not value:
            self.add_error("value", "Enter the value that was read.")
        if self.errors:
            return data
        if parameter is not None:
            usual = preferred_unit(Kind(parameter.kind), "us" if self.system == "us" else "metric")
            unit = data.get("unit") or usual
            if UNITS[unit].kind != parameter.kind:
                self.add_error(
                    "unit", f"This does not measure {parameter.name.lower()}. Choose a unit of {parameter.kind}."
                )
                return data
        else:
            unit = data["unit"]
        return clean_values(self, data, unit, of=parameter.name if parameter is not None else str(name))


@dataclass(frozen=True)
class Choice:
    """One engine to choose on the sheet."""

    key: str
    label: str
    url: str
    current: bool
