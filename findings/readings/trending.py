"""A parameter's trend over engine hours, and when it meets its limit."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import partial
from typing import Any

from django.db.models import QuerySet

from engineering.measures import UNITS, Kind, convert, show
from engineering.recurrence.wording import figure
from engineering.trend import MOST_READINGS, TooFew, Trend, explain_trend, readings_of, trend_of
from engineering.usual import is_difference
from findings.drawing.charts import TrendPicture
from findings.readings.changes import same_limits
from findings.readings.models import Reading
from vessels.log.evidence import superseded
from vessels.models import Engine
from vessels.queries import latest_hours
from vessels.queries.doubts import hours_in_doubt

FIELDS = (
    "value",
    "unit",
    "low",
    "high",
    "condition",
    "instrument",
    "registered_id",
    "parameter__name",
    "judged_by_id",
    "entry__engine_hours",
    "entry__amends",
)


_WITH_HOURS = "with known hours"


@dataclass(frozen=True)
class ReadingsKept:
    """The readings of one parameter as numbers in one unit, with the limits that the newest of them was judged by."""

    pairs: Sequence[tuple[float, float]]
    unit: str
    low: float | None
    high: float | None
    without_hours: int
    left_out: int
    conditions: Sequence[str]
    now_h: float | None
    last: float
    """The newest reading, whether its hours are known or not."""
    by_another: int = 0
    """How many are by another instrument than the newest, where both are named."""
    by_unnamed: int = 0
    """How many cannot be compared by instrument, as they or the newest name none."""
    names_none: bool = False
    """Whether the newest names no instrument."""
    """Readings left out because another instrument took them."""
    step: float | None = None
    """How finely readings in several units can be compared: as the coarsest of them was written. None for one unit."""
    other_units: Sequence[str] = ()
    """Units that some of them were read in, other than the newest."""
    limits_changed: bool = False
    """Whether some of them were judged by other limits than those that the trend is held against."""
    newest_has_limits: bool = True
    """Whether the newest reading itself was judged by those limits."""
    corrections: int = 0
    """How many of them stand in the place of an earlier value."""
    doubts: Sequence[str] = ()
    """Hours of the engine that contradict the clock, in sentences."""

    def trend(self) -> Trend | TooFew:
        """What they say."""
        return trend_of(readings_of(self.compared), low=self.low, high=self.high, now_h=self.now_h, last=self.last)

    @property
    def compared(self) -> Sequence[tuple[float, float]]:
        """The readings as they are compared: 60 psi and 4.1 bar are one, as 4.1 bar says no more."""
        if self.step is None:
            return self.pairs
        return [(hours, round(value / self.step) * self.step) for hours, value in self.pairs]


@dataclass(frozen=True)
class TrendSeen:
    """What a page shows of a trend. ``picture`` is None where there are too few readings to draw."""

    sentence: str
    notes: Sequence[str]
    picture: TrendPicture | None
    caveats: Sequence[str] = ()


def readings_kept(found: QuerySet[Reading], engine: Engine | None) -> ReadingsKept | None:
    """The latest readings of a series, newest first as the series gives them; None without readings. Three queries.

    Only those of the instrument that took the newest one: a change of instrument looks like a trend.
    """
    every: list[dict[str, Any]] = list(found.values(*FIELDS)[: MOST_READINGS + 1])
    if not every:
        return None
    rows = [row for row in every if _instrument(row) == _instrument(every[0])]
    others = [row for row in every if _instrument(row) != _instrument(every[0])]
    unnamed = others if not _instrument(every[0]) else [row for row in others if not _instrument(row)]
    unit = rows[0]["unit"]
    kept = [row for row in rows[:MOST_READINGS] if row["entry__engine_hours"] is not None]
    judged = next((row for row in rows if _has_limits(row)), None)
    turned = partial(_in_unit, wanted=unit, of=rows[0]["parameter__name"])
    pairs = [(float(row["entry__engine_hours"]), turned(row["value"], row["unit"])) for row in kept]
    latest = latest_hours(engine) if engine is not None else None
    hours = [hours for hours, _ in pairs]
    if latest is not None and latest.engine_hours is not None:
        hours.append(float(latest.engine_hours))
    return ReadingsKept(
        pairs=pairs,
        unit=unit,
        low=turned(judged["low"], judged["unit"]) if judged and judged["low"] is not None else None,
        high=turned(judged["high"], judged["unit"]) if judged and judged["high"] is not None else None,
        without_hours=min(len(rows), MOST_READINGS) - len(kept),
        left_out=max(0, len(every) - MOST_READINGS),
        conditions=sorted({row["condition"].casefold() for row in rows}),
        now_h=max(hours, default=None),
        last=turned(rows[0]["value"], rows[0]["unit"]),
        by_another=len(others) - len(unnamed),
        by_unnamed=len(unnamed),
        names_none=not _instrument(every[0]),
        step=_coarsest(kept, unit),
        other_units=sorted({row["unit"] for row in rows} - {unit}),
        limits_changed=any(not _is_judged_alike(row, judged or rows[0]) for row in rows if _has_limits(row)),
        newest_has_limits=judged is None or judged is rows[0],
        corrections=sum(row["entry__amends"] is not None for row in kept),
        doubts=hours_in_doubt([engine.pk]).get(engine.pk, []) if engine is not None else [],
    )


def _coarsest(rows: Sequence[dict[str, Any]], wanted: str) -> float | None:
    """The coarsest step that the readings of one of several units were written to, in the unit wanted."""
    places: dict[str, int] = {}
    for row in rows:
        decimals = -int(row["value"].normalize().as_tuple().exponent)
        places[row["unit"]] = max(places.get(row["unit"], 0), decimals)
    if len(places) < 2:
        return None
    one = Decimal(1)
    return max(
        abs(float(convert(one.scaleb(-count), unit, wanted, is_difference=True))) for unit, count in places.items()
    )


def _has_limits(row: dict[str, Any]) -> bool:
    return row["low"] is not None or row["high"] is not None


def _is_judged_alike(row: dict[str, Any], other: dict[str, Any]) -> bool:
    """Whether both were judged by one limit of a card, or by limits that are the same in both units."""
    if row["judged_by_id"] is not None and row["judged_by_id"] == other["judged_by_id"]:
        return True
    return same_limits(row, other, of=row["parameter__name"])


def _instrument(row: dict[str, Any]) -> str:
    """Which instrument it was: the one of the register, else what was typed."""
    if row["registered_id"] is not None:
        return f"registered {row['registered_id']}"
    return " ".join(row["instrument"].casefold().split())


def _in_unit(value: Decimal, unit: str, *, wanted: str, of: str) -> float:
    return float(convert(value, unit, wanted, is_difference=is_difference(of, unit)))


def trend_seen(found: QuerySet[Reading], engine: Engine | None, *, name: str) -> TrendSeen | None:
    """The trend of a series as a page shows it; None for a switch, or without readings."""
    kept = readings_kept(found, engine)
    if kept is None or UNITS[kept.unit].kind is Kind.ON_OFF:
        return None
    if len(kept.conditions) > 1:
        return TrendSeen(
            "Readings under different conditions do not compare. Choose one condition on the page of all readings.",
            gaps_words(kept),
            None,
        )
    trend = kept.trend()
    sentence = explain_trend(
        trend, lambda value: shown(value, kept.unit), show_in_full=lambda value: shown_in_full(value, kept.unit)
    )
    if isinstance(trend, TooFew):
        if kept.by_another or kept.by_unnamed:
            which = "without a named instrument" if kept.names_none else "by the instrument of the newest one"
            sentence = sentence.replace(_WITH_HOURS, f"{_WITH_HOURS} {which}")
        return TrendSeen(sentence, gaps_words(kept), None, caveats_of(kept))
    return TrendSeen(
        sentence,
        [*_basis(trend), *gaps_words(kept)],
        _picture(kept, trend, f"{name} over engine hours. {sentence}"),
        caveats_of(kept),
    )


def shown(value: float, unit: str) -> str:
    """A value in words, with three figures at most; four where it is large."""
    return show(Decimal(figure(value, 4 if abs(value) >= 1000 else 3).replace(",", "")), unit)


def shown_in_full(value: float, unit: str) -> str:
    """A value in words, with the figures that it is kept with."""
    return show(Decimal(figure(value, 8).replace(",", "")), unit)


def _basis(trend: Trend) -> list[str]:
    test = trend.test
    said = [
        f"Mann–Kendall: S = {test.score}, p = {test.p_value:.2g} over {test.readings} readings "
        "(a trend is reported at 0.05 or less, and how fast at 0.01). Slope by Theil and Sen, with Sen's interval, "
        "made wider because only trends are told."
    ]
    if trend.memory:
        said.append(
            f"Neighboring readings resemble each other ({trend.memory:.2f} of what the line leaves over): test and "
            "interval are widened for it."
        )
    if trend.hours_left is not None:
        said.append(
            "The hours left are worked with the slope and with both ends of its interval; single readings scatter "
            "around the line. Work done in the meantime changes this: measure again after it."
        )
    return said


def caveats_of(kept: ReadingsKept) -> list[str]:
    """What changed on the way, so that nobody takes it for the engine's doing."""
    said = list(kept.doubts)
    if kept.other_units:
        units = ", ".join(UNITS[unit].label for unit in kept.other_units)
        said.append(f"Some were read in {units} and are turned into {UNITS[kept.unit].label} here.")
    if kept.limits_changed:
        said.append(
            "The limits changed on the way: all readings are held here against those of the newest one that has any; "
            "each keeps the judgment of its own day below."
        )
    if not kept.newest_has_limits:
        said.append("The newest reading has no limits of its own: those of an earlier one are drawn.")
    return said


def gaps_words(kept: ReadingsKept) -> list[str]:
    """What of a series is left out of its trend, and why; and what in it was corrected."""
    said = []
    if kept.corrections:
        some = "One of the readings is a correction" if kept.corrections == 1 else f"{kept.corrections} are corrections"
        said.append(f"{some} of an earlier value.")
    if kept.without_hours:
        some = "One reading has" if kept.without_hours == 1 else f"{kept.without_hours} readings have"
        said.append(f"{some} no engine hours and cannot be placed.")
    if kept.by_another:
        some = "One reading" if kept.by_another == 1 else f"{kept.by_another} readings"
        was = "is" if kept.by_another == 1 else "are"
        said.append(f"{some} by another instrument than the newest {was} left out: they do not compare.")
    if kept.by_unnamed:
        said.append(_unnamed_words(kept.by_unnamed, newest_names_none=kept.names_none))
    if kept.step is not None:
        said.append("They are in several units, and compared no finer than the coarsest of them was written.")
    if kept.left_out:
        said.append(f"Older than the latest {MOST_READINGS} readings are left out of the trend.")
    return said


def _unnamed_words(count: int, *, newest_names_none: bool) -> str:
    """That readings are left out of which it is not known whether the newest is by the same instrument."""
    some, is_are = ("One reading", "is") if count == 1 else (f"{count} readings", "are")
    if newest_names_none:
        return f"{some} with a named instrument {is_are} left out: the newest names none, so it may be another."
    names = "names" if count == 1 else "name"
    return f"{some} that {names} no instrument {is_are} left out: it may be another than that of the newest."


def no_longer_counting(readings: QuerySet[Reading]) -> str:
    """How many readings of a whole series were corrected or voided, in a sentence; empty where none was."""
    count = readings.filter(superseded("entry_id")).count()
    if not count:
        return ""
    were = "One reading here was" if count == 1 else f"{count} readings here were"
    return f"{were} corrected or voided and {'is' if count == 1 else 'are'} left out of the trend."


def _picture(kept: ReadingsKept, trend: Trend, sentence: str) -> TrendPicture:
    """The readings with their line, drawn as far as it meets the limit at the latest."""
    pairs = sorted(kept.pairs)
    first_h = pairs[0][0]
    line = meets = None
    if trend.is_trend:
        end_h = trend.from_h
        if trend.hours_left is not None and trend.soonest_h is not None:
            certain = trend.latest_h is not None
            last = trend.latest_h if trend.latest_h is not None else 1.5 * trend.hours_left
            meets = (trend.from_h + trend.soonest_h, trend.from_h + last, certain)
            end_h = trend.from_h + trend.hours_left
        line = ((first_h, trend.line.at(first_h)), (end_h, trend.line.at(end_h)))
    return TrendPicture(
        key="trend",
        sentence=sentence,
        unit=UNITS[kept.unit].label,
        points=pairs,
        low=kept.low,
        high=kept.high,
        line=line,
        limit=trend.limit,
        meets=meets,
    )
