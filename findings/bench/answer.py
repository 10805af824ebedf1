"""A tool's outcome as the page, the log and the paper show it: in the shop's units, judged, in words."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from engineering.limits import Limits, Verdict
from engineering.measures import UNITS, Measure
from findings.bench.context import ToolContext
from findings.bench.fields import Bounds
from findings.bench.forms import BenchForm
from findings.bench.judged import Judged
from findings.bench.outcome import Column, Figure, Outcome, Table, Told
from findings.bench.showing import figure_words, judge, measure_words
from findings.bench.tool import Tool
from findings.drawing.pictures import RangeStrip
from findings.readings.judging import Comparison, compare, judged_by_tool, left_unjudged
from findings.readings.queries import DRAWN, band_words, limits_words, strip_of, the_one
from findings.readings.working import NOT_JUDGED, Input

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
    warnings: Sequence[str]
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
    not_judged: str = ""
    may_be_logged: bool = True
    is_as_read: bool = False
    """Whether the main figure is one that was typed as somebody read it, and nothing was worked out of it."""
    entered: Sequence[Input] = field(default_factory=tuple)

    @property
    def limits_said(self) -> str:
        """The limits and where they are from, in words; empty where nothing was judged by limits."""
        return limits_words(self.band, self.band_from)

    @property
    def words(self) -> str:
        """The sentence with what goes before it and what it leaves unjudged, as the log and the paper keep it."""
        not_judged = [f"{NOT_JUDGED} {self.not_judged}."] if self.not_judged else []
        return " ".join([*self.warnings, self.sentence, *not_judged])

    @property
    def drawn(self) -> str:
        """The verdict in the words of the range strip; empty where nothing was judged."""
        return "" if self.verdict is Verdict.NO_LIMITS else DRAWN[self.verdict].value


def work_out(tool: Tool, form: BenchForm, at: ToolContext) -> Answer | None:
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


def answer_of(tool: Tool, outcome: Outcome, form: BenchForm, at: ToolContext) -> Answer:
    """The outcome in the shop's units, judged."""
    units = form.typed_units
    figures = [
        (one.label, one.text if isinstance(one, Told) else figure_words(one, at.system, units, form.typed))
        for one in outcome.figures
    ]
    words: dict[str, Any] = {
        "sentence": outcome.sentence,
        "figures": figures,
        "warnings": tuple(outcome.warnings),
        "not_judged": outcome.not_judged,
        "notes": tuple(outcome.notes),
        "tables": [_table(table, at, units) for table in outcome.tables],
        "logs_as": outcome.logs_as or tool.logs_as,
        "condition": outcome.condition,
        "may_be_logged": outcome.may_be_logged,
        "entered": tuple(form.entered),
    }
    if outcome.main is None:
        verdict = Verdict.NO_LIMITS if outcome.not_judged else outcome.verdict or Verdict.NO_LIMITS
        said = outcome.not_judged or (outcome.sentence if outcome.verdict else "")
        return Answer(main=None, verdict=verdict, judged=said, **words)
    found = judge(outcome.main, outcome.band, at.system, units, form.typed)
    measure, compared = found.measure, _compared(tool, outcome, found, at)
    verdict = compared.judgment.verdict if compared else Verdict.NO_LIMITS
    limits = compared.limits if compared else Limits()
    has_limits = limits.low is not None or limits.high is not None
    return Answer(
        main=(outcome.main.label, measure_words(measure, outcome.main.word)),
        measure=measure,
        compared=compared,
        is_as_read=outcome.main.entered in form.typed,
        verdict=verdict,
        judged=compared.judgment.sentence if compared else "",
        strip=strip_of("result", outcome.main.label, measure.value, measure.unit, compared)
        if compared and has_limits
        else None,
        band=band_words(limits.low, limits.high, measure.unit),
        band_from=compared.source if compared else "",
        **words,
    )


def _compared(tool: Tool, outcome: Outcome, found: Judged, at: ToolContext) -> Comparison | None:
    """What judges the main figure: the tool's band or verdict, or the spec card where the tool asks for no limits.

    What the tool says is not judged is judged by nothing else either. Limits that say another thing than the tool does
    are not those that it judged by, and are not kept: figure, limits and verdict agree by themselves.
    """
    shown = measure_words(found.measure)
    if outcome.not_judged:
        return Comparison(Limits(), None, "", left_unjudged(shown, outcome.not_judged))
    compared = None
    if outcome.band is not None:
        compared = found.comparison
    elif outcome.verdict is None and not any(isinstance(field, Bounds) for field in tool.fields):
        compared = _by_card(outcome.logs_as or tool.logs_as, outcome.condition, found.measure, at)
    if outcome.verdict is None or (compared and compared.judgment.verdict is outcome.verdict):
        return compared
    return Comparison(Limits(), None, "", judged_by_tool(outcome.verdict, shown, tool.title))


def _by_card(name: str, condition: str, measure: Measure, at: ToolContext) -> Comparison | None:
    """The spec card's limit for what the result is logged as: under the same condition, else the one without.

    Of cards that differ none judges.
    """
    found = at.limits_for(name)
    words = " ".join(condition.split()).casefold()
    same = [limit for limit in found if limit.condition.casefold() == words]
    limit = the_one(same or [limit for limit in found if not limit.condition])
    if limit is None or UNITS[limit.unit].kind is not UNITS[measure.unit].kind:
        return None
    return compare(measure.value, measure.unit, limit)


def _table(table: Table, at: ToolContext, units: Mapping[str, str]) -> ShownTable:
    """A table with every cell in words; the unit stands in the head of its column."""
    heads, rows = [], []
    for column in table.columns:
        heads.append((column.label, False))
    for row in table.rows:
        rows.append([_cell(cell, column, at, units) for cell, column in zip(row, table.columns, strict=True)])
    numeric = [any(row[index][1] for row in rows) for index in range(len(heads))]
    return ShownTable(table.caption, [(head, right) for (head, _), right in zip(heads, numeric, strict=True)], rows)


def _cell(cell: float | str | None, column: Column, at: ToolContext, units: Mapping[str, str]) -> tuple[str, bool]:
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
