"""Forms for a spec card: its words, and the table of its limits."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from decimal import Decimal
from typing import TYPE_CHECKING, Any, NamedTuple

from django import forms
from django.forms.formsets import BaseFormSet

from engineering.limits import Limits, LimitsProblem
from engineering.measures import UNITS, Kind, preferred_unit, units_of
from engineering.units import unit_written
from findings.readings.actions import NewLimit
from findings.readings.checking import impossible
from findings.readings.forms import MeasureField, read_measure
from findings.readings.models import Parameter, SpecLimit
from vessels.models import EngineFamily
from web.texts import odd_signs


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
