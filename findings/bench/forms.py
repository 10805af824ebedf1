"""The form of a tool, made from its fields, and the form that logs its result."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from django import forms
from django.forms import BoundField

from engineering.measures import Measure
from findings.bench import controls
from findings.bench.context import ToolContext
from findings.bench.fields import Bounds, Choice, Field, FromRecords, Quantity, Rows, Whole, Words
from findings.bench.given import Given
from findings.bench.reading import FieldProblem, Read, read_bounds, read_plain, read_quantity, read_rows
from findings.bench.texts import Texts, cell_name
from findings.bench.tool import Tool
from findings.faults.forms import FindingForm
from findings.faults.models import Scan
from findings.instruments.forms import MadeWithForm
from findings.readings.working import Input

MORE_ROWS = 4


@dataclass(frozen=True)
class RowShown:
    """One row of a ``Rows`` field with its cells."""

    label: str
    cells: list[BoundField]

    @property
    def problems(self) -> list[str]:
        """What is wrong in this row, in words."""
        return [str(text) for cell in self.cells for text in cell.errors]


@dataclass(frozen=True)
class ColumnShown:
    """One column: its name, and its units or unit."""

    label: str
    hint: str
    unit: str
    unit_field: BoundField | None


@dataclass(frozen=True)
class Part:
    """One field as the page shows it: one control, rows of controls, or a pair of limits."""

    field: Field
    control: BoundField | None = None
    columns: list[ColumnShown] = dataclasses.field(default_factory=list)
    rows: list[RowShown] = dataclasses.field(default_factory=list)
    low: BoundField | None = None
    high: BoundField | None = None
    unit: BoundField | None = None
    note: str = ""
    nothing: str = ""
    may_grow: bool = False

    @property
    def kind(self) -> str:
        """What the template draws."""
        if isinstance(self.field, Rows):
            return "list" if len(self.field.columns) == 1 else "table"
        return "bounds" if isinstance(self.field, Bounds) else "control"


class BenchForm(forms.Form):
    """The inputs of one tool. Bound, it reads them into ``given`` and keeps what was entered in ``entered``."""

    def __init__(
        self,
        tool: Tool,
        at: ToolContext,
        data: Mapping[str, Any] | None = None,
        *,
        initial: Texts | None = None,
        notes: Mapping[str, str] | None = None,
        more: str = "",
    ) -> None:
        super().__init__(None if data is None else dict(data.items()), initial=dict(initial or {}))
        self.tool, self.at, self.more = tool, at, more
        self.notes = notes or {}
        self.look: dict[str, str] = {}
        self.units: dict[str, str] = {}
        self.counts: dict[str, int] = {}
        self.nothing: set[str] = set()
        self.entered: list[Input] = []
        self.values: dict[str, Any] = {}
        self.typed_units: dict[str, str] = {}
        self.typed: dict[str, Measure] = {}
        for one in tool.fields:
            self._add(one)

    def _add(self, one: Field) -> None:
        """The controls of one field."""
        if isinstance(one, Rows):
            self._add_rows(one)
        elif isinstance(one, Bounds):
            self._add_bounds(one)
        elif isinstance(one, Quantity):
            self.fields[one.name] = controls.number_control(one)
            self._add_unit(one, one.name)
        elif isinstance(one, FromRecords):
            options = list(one.options(self.at))
            self.fields[one.name] = controls.record_control(one, options)
            if not options:
                self.nothing.add(one.name)
        elif isinstance(one, Choice):
            self.fields[one.name] = controls.choice_control(one)
        else:
            self.fields[one.name] = controls.plain_control(one)
        if one.name in self.fields:
            self.fields[one.name].help_text = " ".join(filter(None, [one.hint, self.notes.get(one.name, "")]))
            is_figure = one.keys == "decimal" if isinstance(one, Words) else isinstance(one, Quantity | Whole)
            css_classes = "bench-figure" if is_figure and one.name not in self.units else ""
            self.look[one.name] = f"{_width(one)} {css_classes}".strip()

    def _add_unit(self, one: Quantity | Bounds, number: str, name: str = "") -> None:
        """The units beside a number, to choose or fixed."""
        if controls.has_units(one):
            unit = f"{name or number}_unit"
            self._offer_units(unit, one, number)
            self.units[number] = unit
        elif controls.unit_words(one):
            self.units[number] = controls.unit_words(one)

    def _offer_units(self, name: str, one: Quantity | Bounds, number: str) -> None:
        """The units to choose; an address that names none means the first one, and the page says so."""
        self.fields[name] = controls.unit_control(one, number, self.at.system)
        if self.is_bound and not self.data.get(name):
            self.data = {**self.data, name: controls.first_unit(one, self.at.system)}

    def _add_bounds(self, one: Bounds) -> None:
        names = {"low": "At least", "high": "At most"}
        for side, words in names.items():
            if one.sides in {"both", side}:
                label = words if one.sides == "both" else f"{one.label}, {words.lower()}"
                self.fields[f"{one.name}_{side}"] = controls.number_control(one, label=label)
                self.look[f"{one.name}_{side}"] = "half"
        last = f"{one.name}_{'low' if one.sides == 'low' else 'high'}"
        self._add_unit(one, last, one.name)
        if one.sides == "both":
            self.units[f"{one.name}_low"] = " " if controls.has_units(one) else controls.unit_words(one)

    def _add_rows(self, one: Rows) -> None:
        source = self.data if self.is_bound else self.initial
        highest = max((index for index in range(one.most) if _is_there(one, index, source)), default=-1)
        count = max(one.start, highest + 1) + (MORE_ROWS if self.more == one.name else 0)
        self.counts[one.name] = min(one.most, count)
        for index in range(self.counts[one.name]):
            for column in one.columns:
                label = f"{one.row_label} {index + 1}"
                if len(one.columns) > 1:
                    label = f"{label}, {column.label.lower()}"
                control = controls.number_control(column, label=label, required=False)
                self.fields[cell_name(one, index, column.name)] = control
        for column in one.columns:
            if controls.has_units(column):
                self._offer_units(f"{one.name}-{column.name}_unit", column, f"{one.name}-0-{column.name}")

    @property
    def parts(self) -> list[tuple[str, list[Part]]]:
        """The fields as the page shows them, under their sections."""
        sections: list[tuple[str, list[Part]]] = []
        for one in self.tool.fields:
            if not sections or sections[-1][0] != one.section:
                sections.append((one.section, []))
            sections[-1][1].append(self._part(one))
        return sections

    def _part(self, one: Field) -> Part:
        note = self.notes.get(one.name, "")
        if isinstance(one, Rows):
            columns = [
                ColumnShown(
                    column.label,
                    column.hint,
                    controls.unit_words(column),
                    self._bound(f"{one.name}-{column.name}_unit"),
                )
                for column in one.columns
            ]
            rows = [
                RowShown(
                    f"{one.row_label} {index + 1}",
                    [self[cell_name(one, index, column.name)] for column in one.columns],
                )
                for index in range(self.counts[one.name])
            ]
            return Part(one, columns=columns, rows=rows, note=note, may_grow=len(rows) < one.most)
        if isinstance(one, Bounds):
            low, high, unit = (self._bound(f"{one.name}_{end}") for end in ("low", "high", "unit"))
            return Part(one, low=low, high=high, unit=unit, note=note)
        nothing = getattr(one, "nothing", "") if one.name in self.nothing else ""
        return Part(one, control=self[one.name], note=note, nothing=nothing)

    def _bound(self, name: str) -> BoundField | None:
        return self[name] if name in self.fields else None

    def clean(self) -> dict[str, Any]:
        """Read every field; each problem goes beside its own control."""
        data: dict[str, Any] = super().clean() or {}
        for one in self.tool.fields:
            try:
                read = self._read(one, data)
            except FieldProblem as problem:
                for control, sentence in problem.sentences:
                    self.add_error(control if control in self.fields else None, sentence)
                continue
            if read is None:
                continue
            self.values[one.name] = read.value
            self.entered += read.entered
            self.typed_units |= read.units
            self.typed |= read.measures
        return data

    def _read(self, one: Field, data: dict[str, Any]) -> Read | None:
        """One field, or None where its own control already says what is wrong."""
        if isinstance(one, Rows):
            return read_rows(one, data, self.counts[one.name], self.at.system)
        if isinstance(one, Bounds):
            return read_bounds(one, data, self.at)
        if one.name in self.errors or one.name not in data:
            return None
        if isinstance(one, Quantity):
            return read_quantity(one, data, self.at.system)
        return read_plain(one, data, self.at, dict(getattr(self.fields[one.name], "choices", ())))

    def given(self) -> Given:
        """What the work function gets."""
        return Given(
            self.values,
            system=self.at.system,
            today=self.at.today,
            typed_units=self.typed_units,
            typed=self.typed,
        )

    def show_problem(self, problem: ValueError) -> None:
        """Put what the work function refused beside the field that it names, else on top."""
        sentence = str(getattr(problem, "sentence", problem))
        named = str(getattr(problem, "field", "") or "")
        one = self.tool.field_for(named)
        self.add_error(self._control_of(one, getattr(problem, "row", None), named), sentence)

    def _control_of(self, one: Field | None, row: object, problem_field: str) -> str | None:
        """The control that an error of a field is shown by."""
        if one is None:
            return None
        candidates = [one.name, f"{one.name}_high", f"{one.name}_low"]
        if isinstance(one, Rows):
            index = row - 1 if isinstance(row, int) and 0 < row <= self.counts[one.name] else 0
            candidates = [cell_name(one, index, column.name) for column in one.columns]
        if isinstance(one, Bounds) and problem_field.startswith(("least", "low")):
            candidates = [f"{one.name}_low", *candidates]
        return next((name for name in candidates if name in self.fields), None)

    def as_sent(self) -> Iterator[tuple[str, str]]:
        """Every control's text as it was sent, for the form that logs the result."""
        for name in self.fields:
            if self.data.get(name):
                yield name, str(self.data[name])


def _is_there(rows: Rows, index: int, source: Mapping[str, Any]) -> bool:
    return any(cell_name(rows, index, column.name) in source for column in rows.columns)


def _width(one: Field) -> str:
    """How wide a field stands, unless it says so itself."""
    if one.width:
        return "" if one.width == "full" else one.width
    if isinstance(one, Whole):
        return "third"
    if isinstance(one, Choice) and 2 < len(one.options) <= controls.MOST_BUTTONS:
        return ""
    return "half"


class LogForm(MadeWithForm, FindingForm):
    """What is said of a result when it is logged: when in the job, hours, instrument, remark."""

    phase = forms.ChoiceField(choices=Scan.PHASES, widget=forms.RadioSelect, label="When in the job")

    look = {"hours": "half", "registered": "half", "instrument": "half", "happened_at": "half"}
