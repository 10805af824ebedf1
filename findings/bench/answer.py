"""A tool's outcome as the page, the log and the paper show it: in the shop's units, judged, in words."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_UP, Context, Decimal
from typing import Any

from engineering.canonical import plain_decimal
from engineering.limits import Limits, LimitsProblem, Verdict, judge
from engineering.measures import UNITS, Measure, convert
from findings.bench.at_hand import AtHand
from findings.bench.fields import Bounds
from findings.bench.forms import BenchForm
from findings.bench.outcome import Band, Column, Figure, Outcome, Table, Told
from findings.bench.showing import as_kept, figure_words, measure_words, measured
from findings.bench.tool import Tool
from findings.drawing.pictures import RangeStrip
from findings.readings.judging import Comparison, compare, judged_by_tool
from findings.readings.queries import DRAWN, band_words, strip_of
from findings.readings.working import Input

_KEPT_DECIMALS = 4
_WITHOUT_NOISE = Context(prec=12, rounding=ROUND_HALF_UP)
LARGEST = 1e10
"""Beyond this a figure is a slip of the pen, and more than the log can keep."""


@dataclass(frozen=True)
class ShownTable:
    """A table with its cells in words; ``numeric`` says which columns stand to the right."""

    caption: str
    columns: Sequence[tuple[str, bool]]
    rows: Sequence[Sequence[tuple[str, bool]]]


@dataclass(frozen=True)
class Answer:
    """What the page shows. ``measure`` and ``compared`` are what the log keeps of the main figure."""

    sentence: str
    main: tuple[str, str] | None
    figures: Sequence[tuple[str, str]]
    notes: Sequence[str]
    tables: Sequence[ShownTable]
    logs_as: str
    condition: str
    measure: Measure | None = None
    compared: Comparison | None = None
    verdict: Verdict = Verdict.NO_LIMITS
    judged: str = ""
    strip: RangeStrip | None = None
    band: str = ""
    band_from: str = ""
    entered: Sequence[Input] = field(default_factory=tuple)

    @property
    def drawn(self) -> str:
        """The verdict in the words of the range strip; empty where nothing was judged."""
        return "" if self.verdict is Verdict.NO_LIMITS else DRAWN[self.verdict].value


def work_out(tool: Tool, form: BenchForm, at: AtHand) -> Answer | None:
    """The tool's answer to a bound form, or None where something is to be put right (the form then says what)."""
    if not form.is_valid():
        return None
    try:
        outcome = tool.work(form.given())
    except ValueError as problem:
        if not hasattr(problem, "sentence"):
            raise
        form.show_problem(problem)
        return None
    problem_words = _beyond(outcome)
    if problem_words:
        form.add_error(None, problem_words)
        return None
    return answer_of(tool, outcome, form, at)


def _beyond(outcome: Outcome) -> str:
    """Why a result is none: inputs so far apart that the figures run out of any range."""
    values = [one.value for one in (outcome.main, *outcome.figures) if isinstance(one, Figure)]
    values += [cell for table in outcome.tables for row in table.rows for cell in row if isinstance(cell, int | float)]
    if all(math.isfinite(value) and abs(value) < LARGEST for value in values):
        return ""
    return "These inputs give no figure that could be true. Check each with its unit."


def answer_of(tool: Tool, outcome: Outcome, form: BenchForm, at: AtHand) -> Answer:
    """The outcome in the shop's units, judged."""
    units = form.typed_units
    figures = [
        (one.label, one.text if isinstance(one, Told) else figure_words(one, at.system, units))
        for one in outcome.figures
    ]
    words: dict[str, Any] = {
        "sentence": outcome.sentence,
        "figures": figures,
        "notes": tuple(outcome.notes),
        "tables": [_table(table, at, units) for table in outcome.tables],
        "logs_as": outcome.logs_as or tool.logs_as,
        "condition": outcome.condition,
        "entered": tuple(form.entered),
    }
    if outcome.main is None:
        verdict = outcome.verdict or Verdict.NO_LIMITS
        return Answer(main=None, verdict=verdict, judged=outcome.sentence if outcome.verdict else "", **words)
    measure = as_kept(measured(outcome.main, at.system, units))
    compared = _compared(tool, outcome, measure, at)
    verdict = compared.judgment.verdict if compared else Verdict.NO_LIMITS
    limits = compared.limits if compared else Limits()
    has_limits = limits.low is not None or limits.high is not None
    return Answer(
        main=(outcome.main.label, measure_words(measure, outcome.main.word)),
        measure=measure,
        compared=compared,
        verdict=verdict,
        judged=compared.judgment.sentence if compared else "",
        strip=strip_of("result", outcome.main.label, measure.value, measure.unit, compared)
        if compared and has_limits
        else None,
        band=band_words(limits.low, limits.high, measure.unit),
        band_from=compared.source if compared else "",
        **words,
    )


def _compared(tool: Tool, outcome: Outcome, measure: Measure, at: AtHand) -> Comparison | None:
    """What judges the main figure: the tool's band or verdict, or the spec card where the tool asks for no limits."""
    compared = None
    if outcome.band is not None:
        compared = _by_band(outcome.band, measure)
    elif outcome.verdict is None and not any(isinstance(field, Bounds) for field in tool.fields):
        compared = _by_card(outcome.logs_as or tool.logs_as, outcome.condition, measure, at)
    if outcome.verdict is None or (compared and compared.judgment.verdict is outcome.verdict):
        return compared
    judgment = judged_by_tool(outcome.verdict, measure_words(measure), tool.title)
    if compared is None:
        return Comparison(Limits(), None, "", judgment)
    return Comparison(compared.limits, compared.near_percent, compared.source, judgment)


def _by_band(band: Band, measure: Measure) -> Comparison:
    """The main figure against the limits that were typed or filled in, in the figure's own unit."""

    def there(value: float | None) -> Decimal | None:
        """A limit in the figure's unit, without what converting to and fro added: 1.5 psi stays 1.5, not 1.49999."""
        if value is None:
            return None
        return Decimal(plain_decimal(_WITHOUT_NOISE.plus(convert(Decimal(repr(value)), band.unit, measure.unit))))

    low, high, nominal = there(band.low), there(band.high), there(band.nominal)
    try:
        limits = Limits(low, high, nominal, Decimal(str(band.near_percent)) / 100)
    except LimitsProblem:
        limits = Limits(low, high)
    limits = _as_kept_limits(limits)
    near = Decimal(str(band.near_percent))
    return Comparison(limits, near, band.source, judge(measure.value, limits, unit=measure.unit))


def _as_kept_limits(limits: Limits) -> Limits:
    """The limits with the decimals that the log keeps, a longer one rounded so that it refuses no less."""

    def kept(value: Decimal | None, toward: str) -> Decimal | None:
        if value is None or -int(value.as_tuple().exponent) <= _KEPT_DECIMALS:
            return value
        return Decimal(plain_decimal(value.quantize(Decimal(1).scaleb(-_KEPT_DECIMALS), rounding=toward)))

    low, high = kept(limits.low, ROUND_CEILING), kept(limits.high, ROUND_FLOOR)
    if low is not None and high is not None and low > high:
        low, high = kept(limits.low, ROUND_HALF_UP), kept(limits.high, ROUND_HALF_UP)
    nominal = kept(limits.nominal, ROUND_HALF_UP)
    if nominal is not None:
        nominal = max(nominal, low) if low is not None else nominal
        nominal = min(nominal, high) if high is not None else nominal
    return Limits(low, high, nominal, limits.near_fraction)


def _by_card(name: str, condition: str, measure: Measure, at: AtHand) -> Comparison | None:
    """The spec card's limit for what the result is logged as: under the same condition, or the only one without."""
    found = at.limits_for(name)
    words = " ".join(condition.split()).casefold()
    same = [limit for limit in found if limit.condition.casefold() == words]
    general = [limit for limit in found if not limit.condition]
    limit = same[0] if same else general[0] if len(general) == 1 else None
    if limit is None or UNITS[limit.unit].kind is not UNITS[measure.unit].kind:
        return None
    return compare(measure.value, measure.unit, limit)


def _table(table: Table, at: AtHand, units: Mapping[str, str]) -> ShownTable:
    """A table with every cell in words; the unit stands in the head of its column."""
    heads, rows = [], []
    for column in table.columns:
        heads.append((column.label, False))
    for row in table.rows:
        rows.append([_cell(cell, column, at, units) for cell, column in zip(row, table.columns, strict=True)])
    numeric = [any(row[index][1] for row in rows) for index in range(len(heads))]
    return ShownTable(table.caption, [(head, right) for (head, _), right in zip(heads, numeric, strict=True)], rows)


def _cell(cell: float | str | None, column: Column, at: AtHand, units: Mapping[str, str]) -> tuple[str, bool]:
    if cell is None:
        return "", False
    if isinstance(cell, str):
        return cell, False
    figure = Figure(
        column.label,
        float(cell),
        column.unit,
        significant=column.significant,
        decimals=column.decimals,
        us=column.us,
        metric=column.metric,
        like=column.like,
        word=column.word,
        is_difference=column.is_difference,
    )
    return figure_words(figure, at.system, units), True
