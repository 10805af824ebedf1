"""From what was typed to what the work function gets, each with its sentence where that cannot be."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Any

from engineering.canonical import plain_decimal
from engineering.measures import UNITS, Measure, MeasureProblem, convert, parse_measure, show
from engineering.plausible import beyond_a_boat
from engineering.units import System
from findings.bench.context import ToolContext
from findings.bench.controls import first_unit, unit_words
from findings.bench.fields import Bounds, Field, FromRecords, Quantity, Rows
from findings.bench.outcome import Band
from findings.bench.texts import bounds_source, cell_name, number_written
from findings.readings.working import Input


class FieldProblem(ValueError):  # noqa: N818 - named after what it tells the user
    """What cannot be read: the sentence for each control."""

    def __init__(self, *sentences: tuple[str, str]) -> None:
        """Keep pairs of control and sentence."""
        super().__init__("; ".join(sentence for _, sentence in sentences))
        self.sentences = sentences


@dataclass(frozen=True)
class Read:
    """A field's value for the work function, what was entered, and the units that were typed."""

    value: Any
    entered: Sequence[Input] = ()
    units: Mapping[str, str] = field(default_factory=dict)
    measures: Mapping[str, Measure] = field(default_factory=dict)
    """Each quantity as it was typed, by its control."""


def read_quantity(one: Quantity, data: Mapping[str, Any], system: System) -> Read:
    """One quantity, in the unit that the work wants.

    Raises:
        FieldProblem: with the sentence for its control.
    """
    text = data.get(one.name) or ""
    if not text:
        return Read(None)
    unit = data.get(f"{one.name}_unit") or first_unit(one, system)
    measure = _measure(text, unit, one.name, one.label)
    _require_possible(one, measure, one.name, one.label)
    entered = [_entered(one, one.label, text, measure)]
    return Read(_in_unit(measure, one.to), entered, {one.name: measure.unit}, {one.name: measure})


def _require_possible(one: Quantity, measure: Measure, control: str, label: str) -> None:
    """Refuse what cannot be true of this field, by its name."""
    value = _in_unit(measure, one.to)
    words = _written(one, measure)
    if one.least is not None and value < one.least:
        what = f"{label}: {words} is less than can be" if one.least else f"{label} cannot be less than 0: {words}"
        raise FieldProblem((control, f"{what}. Check the figure and its unit."))
    if one.most is not None and value > one.most:
        raise FieldProblem((control, f"{label}: {words} is more than can be. Check the figure and its unit."))


def _written(one: Quantity, measure: Measure) -> str:
    return f"{plain_decimal(measure.value)} {one.fixed}" if one.fixed else show(measure.value, measure.unit)


def _measure(text: str, unit: str, control: str, label: str) -> Measure:
    try:
        measure = parse_measure(text, default_unit=unit)
    except MeasureProblem as problem:
        raise FieldProblem((control, problem.sentence)) from problem
    beyond = beyond_a_boat(measure.value, measure.unit)
    if beyond:
        raise FieldProblem((control, f"{label}: {beyond}"))
    return measure


def _in_unit(measure: Measure, unit: str) -> float:
    return float(convert(measure.value, measure.unit, unit))


def _entered(one: Quantity | Bounds, label: str, text: str, measure: Measure) -> Input:
    number = number_written(text)
    word = unit_words(one) if one.fixed else UNITS[measure.unit].label
    return Input(label, number or plain_decimal(measure.value), word)


def read_bounds(one: Bounds, data: Mapping[str, Any], at: ToolContext) -> Read:
    """The limits with their source, or None where both are empty.

    Raises:
        FieldProblem: one is no value, or they are the wrong way round.
    """
    unit = data.get(f"{one.name}_unit") or first_unit(one, at.system)
    ends: dict[str, float] = {}
    typed: dict[str, tuple[str, str]] = {}
    entered: list[Input] = []
    units: dict[str, str] = {}
    problems: list[tuple[str, str]] = []
    for side, words in (("low", "at least"), ("high", "at most")):
        text = data.get(f"{one.name}_{side}") or ""
        if not text:
            continue
        try:
            measure = _measure(text, unit, f"{one.name}_{side}", f"{one.label}, {words}")
        except FieldProblem as problem:
            problems += problem.sentences
            continue
        ends[side] = _in_unit(measure, one.to)
        typed[side] = (number_written(text) or plain_decimal(measure.value), measure.unit)
        entered.append(_entered(one, f"{one.label}, {words}", text, measure))
        units[one.name] = measure.unit
    if problems:
        raise FieldProblem(*problems)
    if not ends:
        if one.required:
            raise FieldProblem((f"{one.name}_{'low' if one.sides == 'low' else 'high'}", "Enter the limit."))
        return Read(None)
    if "low" in ends and "high" in ends and ends["low"] > ends["high"]:
        raise FieldProblem((f"{one.name}_high", "The lower limit is above the upper one. Swap them."))
    words, shared = _as_typed(typed)
    return Read(replace(_band(one, ends, at), typed=words, typed_unit=shared), entered, units)


def _as_typed(typed: Mapping[str, tuple[str, str]]) -> tuple[str, str]:
    """Limits in the figures that were typed, and the unit that they share: "0.006 to 0.010 in", "at most 1.5 psi"."""
    units = {unit for _, unit in typed.values()}
    shared = units.pop() if len(units) == 1 else ""
    said = {side: f"{number} {UNITS[unit].label}" for side, (number, unit) in typed.items()}
    if len(said) > 1:
        low = typed["low"][0] if shared else said["low"]
        return f"{low} to {said['high']}", shared
    side, words = next(iter(said.items()))
    return f"{'at least' if side == 'low' else 'at most'} {words}", shared


def _band(one: Bounds, ends: Mapping[str, float], at: ToolContext) -> Band:
    """The limits, and whether they are the spec card's or were typed."""
    limit = at.limit(one.parameter, one.condition) if one.parameter else None
    low, high = ends.get("low"), ends.get("high")
    if limit is not None:
        wanted = {side for side in ("low", "high") if one.sides in {"both", side}}
        card = {
            side: float(convert(value.normalize(), limit.unit, one.to))
            for side, value in (("low", limit.low), ("high", limit.high))
            if value is not None and side in wanted
        }
        if card == ends:
            nominal = None if limit.nominal is None else float(convert(limit.nominal.normalize(), limit.unit, one.to))
            return Band(
                low,
                high,
                one.to,
                nominal=nominal,
                near_percent=float(limit.near_percent),
                source=bounds_source(one, at),
                judged_by=limit,
            )
    return Band(low, high, one.to)


def read_rows(one: Rows, data: Mapping[str, Any], count: int, system: System) -> Read:
    """The filled rows with their numbers.

    Raises:
        FieldProblem: a cell that is no value, a row half filled, or too few rows.
    """
    filled: list[tuple[int, tuple[float | None, ...]]] = []
    entered: list[Input] = []
    problems: list[tuple[str, str]] = []
    units: dict[str, str] = {}
    measures: dict[str, Measure] = {}
    for index in range(count):
        texts = [data.get(cell_name(one, index, column.name)) or "" for column in one.columns]
        if not any(texts):
            continue
        row: list[float | None] = []
        for column, text in zip(one.columns, texts, strict=True):
            control = cell_name(one, index, column.name)
            if not text:
                if column.required:
                    problems.append((control, f"Enter the {column.label.lower()} as well, or empty the row."))
                row.append(None)
                continue
            unit = data.get(f"{one.name}-{column.name}_unit") or first_unit(column, system)
            label = f"{one.row_label} {index + 1}"
            label = label if len(one.columns) == 1 else f"{label}, {column.label.lower()}"
            try:
                measure = _measure(text, unit, control, label)
                _require_possible(column, measure, control, label)
            except FieldProblem as problem:
                problems += problem.sentences
                continue
            row.append(_in_unit(measure, column.to))
            units.setdefault(column.name, measure.unit)
            measures[control] = measure
            entered.append(_entered(column, label, text, measure))
        filled.append((index + 1, tuple(row)))
    if problems:
        raise FieldProblem(*problems)
    least = one.least if one.required or filled else 0
    if len(filled) < least:
        what = "row" if len(one.columns) > 1 else "value"
        rows = f"one {what}" if least == 1 else f"{least} {what}s"
        control = cell_name(one, min(len(filled), count - 1), one.columns[0].name)
        raise FieldProblem((control, f"Fill in at least {rows}."))
    return Read(filled, entered, units, measures)


def read_plain(one: Field, data: Mapping[str, Any], at: ToolContext, labels: Mapping[Any, Any]) -> Read:
    """A whole number, a choice, a date, words, or a record with what is loaded for it.

    Raises:
        FieldProblem: the record cannot be used.
    """
    value = data[one.name]
    if value in (None, ""):
        return Read(None)
    words = value.isoformat() if isinstance(value, date) else str(labels.get(value, value))
    entered = [Input(one.label, words)]
    if not isinstance(one, FromRecords):
        return Read(value, entered)
    try:
        return Read(one.load(at, str(value)), entered)
    except ValueError as problem:
        if not hasattr(problem, "sentence"):
            raise
        raise FieldProblem((one.name, problem.sentence)) from problem
