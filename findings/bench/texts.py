"""Inputs as texts under the names of form controls: what is prefilled, taken over from an example, or typed."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from engineering.measures import MeasureProblem, parse_measure
from engineering.units import System
from findings.bench.context import ToolContext
from findings.bench.controls import first_unit, has_units
from findings.bench.fields import Bounds, Field, Inputs, Prefill, Quantity, Rows, Typed
from findings.bench.tool import Tool

_UNIT = re.compile(r"[A-Za-zµμ°%Ω\u2126\"'″′”’]")

Texts = dict[str, str]
"""Form controls' values by name."""


def cell_name(rows: Rows, index: int, column: str) -> str:
    """The control of one cell; ``index`` counts from 0."""
    return f"{rows.name}-{index}-{column}"


def as_texts(tool: Tool, inputs: Inputs) -> Texts:
    """What a person would type, by control: rows and limits taken apart."""
    texts: Texts = {}
    by_name = {field.name: field for field in tool.fields}
    for name, typed in inputs.items():
        field = by_name.get(name)
        if isinstance(field, Rows):
            texts |= _row_texts(field, typed)
        elif isinstance(field, Bounds):
            low, high = ("", typed) if isinstance(typed, str) else typed
            texts |= {f"{name}_low": str(low), f"{name}_high": str(high)}
        else:
            texts[name] = str(typed)
    return texts


def _row_texts(field: Rows, rows: Typed) -> Texts:
    texts: Texts = {}
    for index, row in enumerate(rows):
        cells: Sequence[str] = [row] if isinstance(row, str) else row
        for column, text in zip(field.columns, cells, strict=False):
            texts[cell_name(field, index, column.name)] = text
    return texts


def prefilled(tool: Tool, at: ToolContext) -> tuple[Texts, Mapping[str, str]]:
    """What stands in the form before anybody typed, and where each field's text is from."""
    texts: Texts = {}
    notes: dict[str, str] = {}
    for field in tool.fields:
        found = _prefill(field, at)
        if isinstance(field, Rows):
            given = field.rows(at) if callable(field.rows) else field.rows
            texts |= _row_texts(field, given)
        elif isinstance(field, Bounds):
            texts |= _bound_texts(field, at)
            notes[field.name] = bounds_source(field, at)
        elif found is not None and found.text:
            texts[field.name] = found.text
        if found is not None and found.note:
            notes[field.name] = found.note
    return texts, {name: note for name, note in notes.items() if note}


def _prefill(field: Field, at: ToolContext) -> Prefill | None:
    return field.default(at) if callable(field.default) else Prefill(field.default)


def _bound_texts(field: Bounds, at: ToolContext) -> Texts:
    """The spec card's limits in the card's own unit."""
    limit = at.limit(field.parameter, field.condition) if field.parameter else None
    if limit is None:
        return {}
    texts = {f"{field.name}_unit": limit.unit}
    for side, value in (("low", limit.low), ("high", limit.high)):
        if value is not None and field.sides in {"both", side}:
            texts[f"{field.name}_{side}"] = f"{value.normalize():f}"
    return texts


def bounds_source(field: Bounds, at: ToolContext) -> str:
    """The document that a field's prefilled limits are from; empty where there is none."""
    limit = at.limit(field.parameter, field.condition) if field.parameter else None
    return "" if limit is None else at.source_of(limit)


def with_units_apart(tool: Tool, texts: Mapping[str, str], system: System) -> Texts:
    """The same texts with each number's unit in the control beside it: "0.35 V" is "0.35" and V."""
    apart = dict(texts)
    for field in tool.fields:
        if isinstance(field, Quantity):
            _take_apart(apart, field, [field.name], f"{field.name}_unit", system)
        elif isinstance(field, Bounds):
            _take_apart(apart, field, [f"{field.name}_low", f"{field.name}_high"], f"{field.name}_unit", system)
        elif isinstance(field, Rows):
            for column in field.columns:
                cells = [cell_name(field, index, column.name) for index in range(field.most)]
                _take_apart(apart, column, cells, f"{field.name}-{column.name}_unit", system)
    return apart


def _take_apart(texts: Texts, field: Quantity | Bounds, names: Sequence[str], unit_name: str, system: System) -> None:
    """Move the unit that all the texts share into its own control; texts without one, or unread, stay as they are."""
    filled = [name for name in names if texts.get(name)]
    default = texts.get(unit_name) or first_unit(field, system)
    try:
        measures = {name: parse_measure(texts[name], default_unit=default) for name in filled}
    except MeasureProblem:
        return
    units = {measure.unit for measure in measures.values()}
    if len(units) != 1:
        return
    if has_units(field):
        texts[unit_name] = units.pop()
    texts.update({name: number_written(texts[name]) for name in measures})


def number_written(text: str) -> str:
    """The number that a text begins with, as it was written: "13,4" of "13,4 V"."""
    return _UNIT.split(text.strip(), maxsplit=1)[0].strip()
