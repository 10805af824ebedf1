"""Where a reading is going over engine hours: of a parameter on record, or of values that are typed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.db.models import Count

from engineering.limits import Verdict
from engineering.measures import UNITS, Kind
from engineering.trend import Outlook, TooFew, Trend, explain_trend, readings_of, trend_of
from findings.bench.tool import (
    Example,
    Figure,
    FromRecords,
    Given,
    Group,
    Option,
    Outcome,
    Quantity,
    Rows,
    Told,
    Tool,
    ToolContext,
    ToolProblem,
    Words,
)
from findings.readings.models import Parameter
from findings.readings.queries import effective_readings
from findings.readings.series import series
from findings.readings.trending import (
    ReadingsKept,
    caveats_of,
    gaps_words,
    no_longer_counting,
    readings_kept,
    shown,
    shown_in_full,
)
from web.typed import whole_number

FORMULA = "slope = median of (change / hours between) over all pairs; S = rises − falls over all pairs, ties counted"
SOURCE = "Sen, JASA 63:1379 (1968); Mann, Econometrica 13 (1945); Kendall, Rank Correlation Methods (1975)"
MOST_HOURS = 200_000
"""No meter of a boat's engine counts so many (common practice, no source)."""
JUDGED = {Outlook.OUT: Verdict.OUT, Outlook.PAST: Verdict.NEAR, Outlook.AHEAD: Verdict.NEAR, Outlook.WEAK: Verdict.NEAR}


def _series(at: ToolContext) -> Sequence[Option]:
    """What was read of the engine at hand more than once, by parameter and condition."""
    found = effective_readings().filter(entry__vessel=at.vessel, entry__engine=at.engine)
    found = found.exclude(parameter__kind=Kind.ON_OFF.value).order_by()
    rows = found.values("parameter", "parameter__name", "condition").annotate(count=Count("pk"))
    rows = rows.order_by("parameter__position", "parameter__name", "condition")[:200]
    return [
        Option(
            f"{row['parameter']}:{row['condition']}",
            ", ".join(filter(None, [row["parameter__name"], row["condition"], f"{row['count']} readings"])),
        )
        for row in rows
        if row["count"] > 1
    ]


@dataclass(frozen=True)
class _OnRecord:
    """The readings of a series, and what is said of those of it that no longer count."""

    kept: ReadingsKept
    left_out: str


def _readings(at: ToolContext, key: str) -> _OnRecord:
    """The readings of the parameter that was chosen, as numbers in one unit."""
    words, _, condition = key.partition(":")
    number = whole_number(words)
    parameter = None if number is None else Parameter.objects.filter(pk=number).first()
    kept, left_out = None, ""
    if parameter is not None:
        of = at.vessel, at.engine.pk if at.engine else None, parameter, condition
        kept = readings_kept(series(*of), at.engine)
        left_out = no_longer_counting(series(*of, all_of_them=True))
    if kept is None:
        raise ToolProblem("These readings are no longer on record. Choose others.", field="series")
    return _OnRecord(kept, left_out)


def _on_record(given: Given) -> Outcome:
    """The trend of what is on record."""
    on_record = given.loaded("series", _OnRecord)
    kept = on_record.kept
    trend = kept.trend()
    notes = [*caveats_of(kept), *gaps_words(kept), *filter(None, [on_record.left_out])]
    sentence = explain_trend(
        trend, lambda value: shown(value, kept.unit), show_in_full=lambda value: shown_in_full(value, kept.unit)
    )
    return _outcome(trend, sentence, UNITS[kept.unit].label, notes)


def _typed(given: Given) -> Outcome:
    """The trend of what was typed."""
    trend = trend_of(
        readings_of(given.pairs("readings")),
        low=given.number_or_none("low"),
        high=given.number_or_none("high"),
        now_h=given.number_or_none("now"),
    )
    word = given.words("unit")
    sentence = explain_trend(
        trend,
        lambda value: given.show(value, word=word),
        show_in_full=lambda value: given.show(value, word=word, significant=8),
    )
    return _outcome(trend, sentence, word, [])


def _outcome(trend: Trend | TooFew, sentence: str, word: str, notes: Sequence[str]) -> Outcome:
    if isinstance(trend, TooFew):
        return Outcome(sentence, notes=notes, verdict=None if trend.limit is None else Verdict.OUT)
    figures: list[Figure | Told] = [
        *([Figure("Slope in 100 h", 100 * trend.line.slope, word=word)] if trend.told else []),
        Told("Mann–Kendall", f"S = {trend.test.score}, p = {trend.test.p_value:.2g}"),
    ]
    if trend.hours_left is not None:
        figures.append(Told("Hours until its limit", _interval(trend)))
        notes = [*notes, "Work done in the meantime changes this: measure again after it."]
    return Outcome(sentence, figures=figures, notes=notes, verdict=JUDGED.get(trend.outlook))


def _interval(trend: Trend) -> str:
    """From the soonest to the latest: a single number would look surer than it is."""
    latest = "no certain end" if trend.latest_h is None else f"{trend.latest_h:,.0f} h"
    return f"{trend.soonest_h or 0:,.0f} h to {latest}"


TOOLS = (
    Tool(
        slug="reading-trend",
        title="Where is this reading going?",
        group=Group.HISTORY,
        purpose="The trend of a parameter over engine hours, and when it meets its limit.",
        fields=(
            FromRecords(
                "series",
                "Readings",
                options=_series,
                load=_readings,
                nothing="Nothing was read twice on this engine. Log readings with their engine hours first.",
            ),
        ),
        work=_on_record,
        formula=FORMULA,
        source=SOURCE,
        example=Example({}, source="The first parameter on record"),
    ),
    Tool(
        slug="typed-trend",
        title="Trend of values from paper",
        group=Group.HISTORY,
        purpose="The same from values that are typed, such as those in an owner's own records.",
        fields=(
            Words("unit", "Unit of the values", required=False, longest=12, hint="Such as psi."),
            Rows(
                "readings",
                "Readings",
                [
                    Quantity("hours", "Engine hours", Kind.HOURS, "h", least=0, most=MOST_HOURS),
                    Quantity("value", "Value"),
                ],
                row_label="Reading",
                start=6,
                least=2,
                argument="values",
            ),
            Quantity("low", "At least", required=False, argument="low", section="Limits"),
            Quantity("high", "At most", required=False, argument="high", section="Limits"),
            Quantity(
                "now",
                "Engine hours now",
                Kind.HOURS,
                "h",
                required=False,
                argument="now_h",
                section="Limits",
                least=0,
                most=MOST_HOURS,
            ),
        ),
        work=_typed,
        formula=FORMULA,
        source=SOURCE,
        example=Example(
            {
                "readings": [
                    *(("1 h", "9"), ("2 h", "15"), ("3 h", "19"), ("4 h", "20")),
                    *(("10 h", "45"), ("12 h", "55"), ("18 h", "78")),
                ],
            },
            expects={"Slope in 100 h": "400"},
            source="Sen (1968), its own data: slope 4 for each step of the abscissa",
        ),
    ),
)
