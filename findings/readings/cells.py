"""One row of a sheet: a parameter with its unit, and a cell for each column, each with its own limits."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any
from urllib.parse import urlencode

from django import forms

from engineering.measures import Kind, System, preferred_unit
from findings.readings.forms import MeasureField, clean_values, unit_choices
from findings.readings.last_time import LastTime
from findings.readings.layout import Column
from findings.readings.models import Parameter, SpecLimit
from findings.readings.said import Said
from web.addresses import address_of

SWITCH_CHOICES = [("on", "On"), ("off", "Off"), ("", "Not read")]
ON_OFF_UNIT = "on/off"


@dataclass(frozen=True)
class Line:
    """What a row is of. ``condition`` is its own where a spec card's limit has one; ``limit`` is that limit.

    ``is_foreign``: the limit is another engine's or was removed, and judges nothing here; ``was_changed``: it was
    changed since the sheet was opened, and the one that took its place judges.
    """

    key: str
    parameter: Parameter
    unit: str
    condition: str = ""
    limit: SpecLimit | None = None
    is_foreign: bool = False
    was_changed: bool = False


def cell_name(row: str, column: Column) -> str:
    """What the fields of a row in a column begin with."""
    return "-".join(filter(None, [row, column.key]))


class UnitForm(forms.Form):
    """The unit that all values of a row are in, unless one is written with its own."""

    unit = forms.ChoiceField(required=False)

    def __init__(self, *args: Any, line: Line, **kwargs: Any) -> None:
        super().__init__(*args, **{**kwargs, "prefix": line.key})
        chosen = self.fields["unit"]
        assert isinstance(chosen, forms.ChoiceField)  # noqa: S101  (declared above)
        chosen.choices = unit_choices([Kind(line.parameter.kind)])
        chosen.initial = line.unit
        chosen.label = f"Unit of {line.parameter.name}"
        self.offered = unit_choices([Kind(line.parameter.kind)])

    @property
    def is_plain(self) -> bool:
        """Whether the field has nothing to say: then the page writes it itself."""
        return not self.errors

    @property
    def chosen(self) -> str:
        """The unit that stands there."""
        if self.is_bound:
            return str(self.data.get(self.add_prefix("unit"), ""))
        return str(self.initial.get("unit") or self.fields["unit"].initial or "")


class CellForm(forms.Form):
    """One value of a row in one column, with the lowest and the highest seen while it was read."""

    value = MeasureField()
    minimum = MeasureField(label="Lowest seen")
    maximum = MeasureField(label="Highest seen")

    def __init__(
        self, *args: Any, line: Line, column: Column, limit: SpecLimit | None, unit: str, **kwargs: Any
    ) -> None:
        super().__init__(*args, **{**kwargs, "prefix": cell_name(line.key, column)})
        self.line, self.column, self.limit, self.unit = line, column, limit, unit
        self.last: LastTime | None = None
        self.said: Said | None = None
        self.band, self.remark = "", ""
        self.in_words = False
        self.label = label = " · ".join(filter(None, [line.parameter.name, column.label]))
        if self.is_switch:
            self.fields["value"] = forms.ChoiceField(
                choices=SWITCH_CHOICES, required=False, widget=forms.RadioSelect, label=label
            )
            del self.fields["minimum"], self.fields["maximum"]
        else:
            self.fields["value"].label = label
            self.fields["minimum"].label, self.fields["maximum"].label = f"{label}, lowest", f"{label}, highest"

    @staticmethod
    def units_of(line: Line) -> list[tuple[str, str]]:
        """The units that a value of the line may be in, as choices."""
        return unit_choices([Kind(line.parameter.kind)])

    @property
    def is_switch(self) -> bool:
        """Whether the parameter is on or off, and no figure."""
        return self.line.parameter.kind == Kind.ON_OFF

    @property
    def condition(self) -> str:
        """What the value is read under: what the row says, else what the column says."""
        return self.line.condition or self.column.condition

    @property
    def judged_at(self) -> str:
        """The address that judges what is typed; empty where nothing does."""
        if self.limit is None:
            return ""
        engine = str(self.column.engine.pk) if self.column.engine else ""
        asked = {"cell": self.prefix or "", "under": self.condition, "engine": engine}
        asked = {name: value for name, value in asked.items() if value} | ({"words": "1"} if self.in_words else {})
        return f"{address_of('findings:judged', self.limit.pk)}?{urlencode(asked)}"

    @property
    def was_filled(self) -> bool:
        """Whether the person wrote a value in this cell."""
        return bool(self.cleaned_data.get("value")) if hasattr(self, "cleaned_data") else False

    @property
    def is_plain(self) -> bool:
        """Whether its fields have nothing to say: then the page writes them itself, at a tenth of a widget's cost."""
        return not self.is_switch and not self.errors and "data-focus" not in self.fields["value"].widget.attrs

    @property
    def shown(self) -> dict[str, str]:
        """What stands in its fields."""
        given = self.data if self.is_bound else self.initial
        names = {name: self.add_prefix(name) if self.is_bound else name for name in self.fields}
        return {name: str(given.get(key) or "") for name, key in names.items()}

    @property
    def has_extremes(self) -> bool:
        """Whether the lowest or the highest has something in it: then both are shown unfolded."""
        names = ("minimum", "maximum")
        return not self.is_switch and any(self.shown[name] or name in self.errors for name in names)

    def clean(self) -> dict[str, Any]:
        """Turn the words into values of one unit."""
        data: dict[str, Any] = super().clean() or {}
        return clean_values(self, data, self.unit, of=self.line.parameter.name)


@dataclass
class Row:
    """A line with its unit and its cells, one for each column; None where the line has no place in a column."""

    line: Line
    unit: UnitForm
    cells: list[CellForm | None] = field(default_factory=list)

    @property
    def shown_cells(self) -> list[CellForm]:
        """The cells that are there."""
        return [one for one in self.cells if one is not None]

    @property
    def is_switch(self) -> bool:
        """Whether it is an on/off row."""
        return self.line.parameter.kind == Kind.ON_OFF


def usual_unit(parameter: Parameter, system: str) -> str:
    """The unit that a shop reads such a parameter in."""
    chosen: System = "us" if system == "us" else "metric"
    return preferred_unit(Kind(parameter.kind), chosen)
