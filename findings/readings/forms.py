"""Forms for readings and spec cards."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING, Any, NamedTuple
from uuid import uuid4

from django import forms
from django.forms.formsets import BaseFormSet

from engineering.limits import Limits, LimitsProblem
from engineering.measures import UNITS, Kind, MeasureProblem, parse_measure, preferred_unit, units_of
from engineering.units import unit_written
from findings.faults.models import Scan
from findings.instruments.forms import MadeWithForm
from findings.readings.actions import NewLimit
from findings.readings.checking import ask_about, impossible
from findings.readings.models import Parameter, SpecLimit
from vessels.models import EngineFamily
from web.fields import MomentField
from web.texts import odd_signs

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


class CardForm(forms.Form):
    """A spec card's words."""

    seen_version = forms.IntegerField(widget=forms.HiddenInput, required=False)
    family = forms.ModelChoiceField(EngineFamily.objects.all(), label="Engine family", empty_label="Choose the family")
    title = forms.CharField(max_length=80, help_text="Such as: Running checks, warm.")
    document = forms.CharField(
        max_length=200, label="Taken from", help_text="Manual, edition and page, or who measured it and when."
    )
    engine_models = forms.CharField(
        max_length=200,
        required=False,
        label="Only for the models",
        help_text="Separated by commas. Empty: all.",
    )
    year_from = forms.IntegerField(min_value=1900, max_value=2100, required=False, label="Years from")
    year_to = forms.IntegerField(min_value=1900, max_value=2100, required=False, label="Years to")
    serial_from = forms.CharField(max_length=40, required=False, label="Serial numbers from")
    serial_to = forms.CharField(max_length=40, required=False, label="Serial numbers to")
    notes = forms.CharField(required=False, widget=forms.Textarea(attrs={"rows": 2}))

    look = {
        "family": "half",
        "title": "half",
        "year_from": "quarter",
        "year_to": "quarter",
        "serial_from": "quarter",
        "serial_to": "quarter",
    }

    @classmethod
    def words(cls) -> list[str]:
        """The names of what the card keeps of it."""
        return [name for name in cls.base_fields if name != "seen_version"]


_TEXTS = ("condition", "unit", "source", "page")


class LimitForm(forms.Form):
    """One row of a spec card's table. Parameter and unit are written as they are called; ``parameters`` by name."""

    parameter = forms.CharField(max_length=60, required=False)
    condition = forms.CharField(max_length=120, required=False)
    low = MeasureField(label="At least")
    nominal = MeasureField(label="Nominal")
    high = MeasureField(label="At most")
    unit = forms.CharField(max_length=20, required=False)
    near_percent = MeasureField(label="Near within, %")
    source = forms.CharField(max_length=200, required=False, label="Document")
    page = forms.CharField(max_length=20, required=False)

    def __init__(self, *args: Any, system: str, parameters: Mapping[str, Parameter], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.system, self.parameters = system, parameters
        row = str(self.prefix).rpartition("-")[2]
        for name, field in self.fields.items():
            number = int(row) + 1 if row.isdigit() else ""
            heading = field.label or name.capitalize()
            field.heading = heading  # type: ignore[attr-defined]  # what its column is called
            field.label = f"{heading}, row {number}"
            field.widget.attrs |= {"autocomplete": "off"} | _CELL.get(name, {})

    @property
    def cells(self) -> Iterator[LimitCell]:
        """The fields as the table needs them: at hundreds of cells a widget each would be most of the page's time."""
        wrong = self.errors
        for name, field in self.fields.items():
            bound, label = self[name], str(field.label)
            heading = field.heading  # type: ignore[attr-defined]  # set above
            own = field.widget.attrs
            yield LimitCell(
                name, bound.html_name, label, heading, bound.value(), field.max_length,  # type: ignore[attr-defined]
                own.get("inputmode", ""), own.get("list", ""), own.get("placeholder", ""), bound, name in wrong,
            )  # fmt: skip

    def clean(self) -> dict[str, Any]:
        """Turn the words into one limit, or into nothing where the row is empty."""
        data: dict[str, Any] = super().clean() or {}
        data["row"] = None
        for text in _TEXTS:
            if text in self.changed_data and (said := odd_signs(data.get(text, ""))):
                self.add_error(text, said)
        name = " ".join(data.get("parameter", "").split())
        if not name:
            if any(data.get(cell) for cell in ("low", "nominal", "high", "condition", "unit", "source", "page")):
                self.add_error("parameter", "Write what these limits are for, or empty the row.")
            return data
        parameter = self.parameters.get(name.casefold())
        if parameter is None:
            self.add_error("parameter", f"Nothing that is measured here is called “{name}”. Choose from the list.")
            return data
        unit = _unit_of(data.get("unit", ""), parameter, self.system)
        if unit is None:
            labels = ", ".join(one.label for one in units_of(Kind(parameter.kind)) if one.label)
            self.add_error(
                "unit", f"This does not measure {parameter.name.lower()}. Use one of: {labels or 'no unit'}."
            )
            return data
        numbers: dict[str, Decimal | None] = {}
        for end in ("low", "nominal", "high"):
            numbers[end] = self._number(data, end, unit, of=parameter.name)
        near = self._number(data, "near_percent", "%")
        if near is not None and not 0 <= near <= 50:
            self.add_error("near_percent", "From 0 to 50 %.")
        if not self.errors and numbers["low"] is None and numbers["high"] is None:
            self.add_error("low", "Give at least one of “at least” and “at most”.")
        if not self.errors:
            try:
                Limits(low=numbers["low"], nominal=numbers["nominal"], high=numbers["high"])
            except LimitsProblem as problem:
                self.add_error("nominal" if "nominal" in problem.sentence else "low", problem.sentence)
        if not self.errors:
            data["row"] = NewLimit(
                parameter=parameter,
                unit=unit,
                condition=data.get("condition", ""),
                near_percent=Decimal(10) if near is None else near,
                source=data.get("source", ""),
                page=data.get("page", ""),
                **numbers,
            )
        return data

    def _number(self, data: dict[str, Any], name: str, unit: str, *, of: str = "") -> Decimal | None:
        """One number of the row in its unit; a problem goes beside its field."""
        if not data.get(name):
            return None
        try:
            value, found = read_measure(data[name], unit)
        except forms.ValidationError as problem:
            self.add_error(name, problem)
            return None
        if found != unit:
            self.add_error(name, "Use the unit of the row.")
        elif wrong := impossible(unit, {name: value}, of=of):
            self.add_error(name, wrong[name])
        return value


class LimitCell(NamedTuple):
    """One cell of a card's table, with what its input says: characters, keys of a tablet, list of words, an example."""

    name: str
    html_name: str
    label: str
    heading: str
    value: Any
    longest: int
    keys: str
    offered: str
    hint: str
    field: forms.BoundField
    is_wrong: bool


_CELL: dict[str, dict[str, str]] = {
    "parameter": {"list": "card-parameters"},
    "unit": {"list": "card-units"},
    "low": {"inputmode": "decimal"},
    "nominal": {"inputmode": "decimal"},
    "high": {"inputmode": "decimal"},
    "near_percent": {"inputmode": "decimal", "placeholder": "10"},
}


def _unit_of(text: str, parameter: Parameter, system: str) -> str | None:
    """The unit that was written, as it is called or spelled; the usual one for nothing, None for another quantity's."""
    kind, written = Kind(parameter.kind), text.strip()
    if not written:
        return preferred_unit(kind, "us" if system == "us" else "metric")
    own = {label: unit.key for unit in units_of(kind) for label in (unit.key, unit.label)}
    found = own.get(written) or unit_written(written)
    return found if found is not None and UNITS[found].kind is kind else None


if TYPE_CHECKING:
    LimitForms = BaseFormSet[LimitForm]
else:
    LimitForms = BaseFormSet  # Django's own is not generic at run time


class BaseLimitFormSet(LimitForms):
    """The rows of a card's table; no two are for one thing under one condition."""

    def clean(self) -> None:
        """Say beside a row that an earlier one is for the same."""
        first: dict[tuple[int, str], int] = {}
        for number, form in enumerate(self.forms, start=1):
            row = form.cleaned_data.get("row") if hasattr(form, "cleaned_data") else None
            if row is None:
                continue
            same = first.setdefault((row.parameter.pk, " ".join(row.condition.split()).casefold()), number)
            if same != number:
                form.add_error(
                    "parameter", f"Row {same} is for the same under the same condition. Remove one of the two."
                )

    def is_valid(self) -> bool:
        """Whether every row can be kept; what ``clean`` says beside a row counts too."""
        return super().is_valid() and not any(form.errors for form in self.forms)

    def new_limits(self) -> list[NewLimit]:
        """The rows that were filled."""
        return [form.cleaned_data["row"] for form in self.forms if form.cleaned_data.get("row")]


LimitFormSet = forms.formset_factory(LimitForm, formset=BaseLimitFormSet, extra=4, max_num=200, absolute_max=220)


def parameters_by_name() -> dict[str, Parameter]:
    """What is measured here, by its name in small letters."""
    return {one.name.casefold(): one for one in Parameter.objects.all()}


@dataclass(frozen=True)
class Choice:
    """One engine to choose on the sheet."""

    key: str
    label: str
    url: str
    current: bool


def limit_initial(limits: Iterable[SpecLimit]) -> list[dict[str, Any]]:
    """A card's limits as they were entered, for the form that changes it."""

    def plain(value: Decimal | None) -> str:
        return "" if value is None else f"{value.normalize():f}"

    return [
        {
            "parameter": limit.parameter.name,
            "condition": limit.condition,
            "low": plain(limit.low),
            "nominal": plain(limit.nominal),
            "high": plain(limit.high),
            "unit": UNITS[limit.unit].label if limit.unit in UNITS else limit.unit,
            "near_percent": plain(limit.near_percent),
            "source": "" if limit.source == limit.card.document else limit.source,
            "page": limit.page,
        }
        for limit in limits
    ]
