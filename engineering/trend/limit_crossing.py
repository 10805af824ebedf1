"""When a reading that creeps meets its limit: an interval of hours, or an honest no."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from enum import StrEnum
from statistics import median

from engineering.trend.mann_kendall import MannKendall, score_of
from engineering.trend.memory import inflation_of, memory_of, unseen_memory
from engineering.trend.problem import TrendProblem
from engineering.trend.series import Readings, TooFew, too_few_for_a_trend
from engineering.trend.theil_sen import Line, line_of

FURTHEST = 2.0
"""How far ahead a crossing is told, in lengths of the record (common practice, no source)."""
STRONG = 0.01
"""A trend that chance makes more often than this is too weak to say how fast it goes, or to name an hour (common
practice, no source)."""
WIDER = 5.0
"""What is told is worked with bounds that miss so many times less often: a trend is only told where the readings happen
to show it, and then its own bounds hold less often than they say (measured in benchmarks/README.md)."""
SUREST = 0.9999


class Outlook(StrEnum):
    """What the readings say about the limits. What is out now comes before any trend."""

    OUT = "out now"
    NO_TREND = "no trend"
    NO_LIMIT_AHEAD = "no limit ahead"
    PAST = "past its limit"
    AHEAD = "meets its limit"
    WEAK = "too weak to name an hour"
    FAR_AHEAD = "too far ahead to tell"


@dataclass(frozen=True, slots=True)
class Trend:
    """A reading's trend over engine hours, and what it says of the limits. Values are in the unit of the readings.

    ``told`` has the bounds that may be told, None where the trend is too weak for any: ``line`` holds as often as it
    says only over all records, whether they show a trend or not. ``limit`` is the one that the trend goes to, or the
    one that ``last``, the last reading, is beyond. ``memory`` is how much readings resemble their neighbors; bounds and
    test allow for it. The hours are counted from ``from_h``: ``soonest_h`` and ``latest_h`` by the bounds that may be
    told, ``hours_left`` by the slope itself; ``latest_h`` is None where the flatter bound meets the limit further ahead
    than can be told.
    """

    line: Line
    test: MannKendall
    outlook: Outlook
    limit: float | None
    from_h: float
    hours_left: float | None = None
    soonest_h: float | None = None
    latest_h: float | None = None
    last: float | None = None
    memory: float = 0.0
    told: Line | None = None

    @property
    def is_level(self) -> bool:
        """Whether every reading is the same as the others."""
        return not self.test.variance and not self.line.slope

    @property
    def is_trend(self) -> bool:
        """Whether there is a trend at all."""
        return self.test.tells_of_a_trend and not self.line.slope_low <= 0 <= self.line.slope_high


def trend_of(
    readings: Readings,
    *,
    low: float | None = None,
    high: float | None = None,
    now_h: float | None = None,
    confidence: float = 0.95,
    last: float | None = None,
) -> Trend | TooFew:
    """The trend over hours, and the hours until it meets ``low`` or ``high`` (in the unit of the values).

    A last reading beyond a limit is out, whatever the line says, and no hours are told; also with too few readings for
    a trend. Ten readings or more are asked whether neighbors resemble each other, and test and bounds widened by it.

    There is a trend where Mann and Kendall's test says so at 5 % *and* Sen's bounds of the slope leave out zero. How
    fast it goes is told where the test says so at 1 % and wider bounds leave out zero as well; these also allow for a
    likeness of neighbors that ten readings or more may have and not show. The crossing is then worked three times, with
    the slope and with each of those wider bounds, every line through the median of what it leaves over (its own
    intercept median(value − slope·hours)): as Fieller's interval of a ratio does, this
    lets level and slope go together, and gives no upper end where the flatter slope does not get there. It bounds where
    the line meets the limit; single readings scatter around the line. ``now_h`` are the engine's hours now, by default
    the last reading's; ``last`` is the last reading where that has no hours. Nothing is told further ahead than twice
    the length of the record, and a trend that chance makes more often than once in a hundred names no hour.
    Source: Sen (1968) for line and bounds; the crossing is common practice, no source.

    Raises:
        TrendProblem: limits that contradict each other or are not finite, hours now before the last reading, or a
            confidence out of its range.
    """
    _check(readings, low, high, now_h)
    if last is None and readings.values:
        last = readings.values[-1]
    broken = None if last is None else _broken(last, low, high)
    too_few = too_few_for_a_trend(readings)
    if too_few is not None:
        return too_few if broken is None else replace(too_few, last=last, limit=broken)
    memory = memory_of(readings, line_of(readings, confidence=confidence).slope)
    inflation = inflation_of(memory, len(readings.values))
    line = line_of(readings, confidence=confidence, inflation=inflation)
    test = score_of(readings, inflation=inflation)
    from_h = readings.hours[-1] if now_h is None else now_h
    found = Trend(line, test, Outlook.NO_TREND, broken, from_h, last=last, memory=memory)
    allowed = inflation_of(unseen_memory(memory, len(readings.values)), len(readings.values))
    wider = line_of(readings, confidence=min(SUREST, 1 - (1 - confidence) / WIDER), inflation=allowed)
    if found.is_trend and test.p_value <= STRONG and not wider.slope_low <= 0 <= wider.slope_high:
        found = replace(found, told=wider)
    if broken is not None:
        return replace(found, outlook=Outlook.OUT)
    return _ahead(readings, found, low, high) if found.is_trend else found


def _broken(value: float, low: float | None, high: float | None) -> float | None:
    """The limit that a value is beyond, or None."""
    if low is not None and value < low:
        return low
    return high if high is not None and value > high else None


def _ahead(readings: Readings, found: Trend, low: float | None, high: float | None) -> Trend:
    """What a trend says of the limit that it goes to, while the last reading is within it."""
    from_h, limit = found.from_h, high if found.line.slope > 0 else low
    found = replace(found, limit=limit)
    if limit is None:
        return replace(found, outlook=Outlook.NO_LIMIT_AHEAD)
    left = _crossing(readings, found.line.slope, limit) - from_h
    if left <= 0:
        return replace(found, outlook=Outlook.PAST)
    if found.told is None:
        return replace(found, outlook=Outlook.WEAK)
    bounds = [_crossing(readings, slope, limit) - from_h for slope in (found.told.slope_low, found.told.slope_high)]
    soonest, latest = min(left, *bounds), max(left, *bounds)
    furthest = FURTHEST * readings.span_h
    if left > furthest:
        return replace(found, outlook=Outlook.FAR_AHEAD, soonest_h=max(0.0, soonest))
    return replace(
        found,
        outlook=Outlook.AHEAD,
        hours_left=left,
        soonest_h=max(0.0, soonest),
        latest_h=latest if latest <= furthest else None,
    )


def _crossing(readings: Readings, slope: float, limit: float) -> float:
    """The hours at which a line of this slope through the readings meets the limit."""
    intercept = median(value - slope * hours for hours, value in zip(readings.hours, readings.values, strict=True))
    return (limit - intercept) / slope


def _check(readings: Readings, low: float | None, high: float | None, now_h: float | None) -> None:
    for name, value in (("low", low), ("high", high), ("now_h", now_h)):
        if value is not None and not math.isfinite(value):
            raise TrendProblem("A limit and the hours now must be ordinary numbers.", field=name)
    if low is not None and high is not None and low > high:
        raise TrendProblem("The lower limit is above the upper one. Swap them.", field="low")
    if now_h is not None and readings.hours and now_h < readings.hours[-1]:
        raise TrendProblem(
            f"The engine has {now_h:,.1f} h now, but a reading is from {readings.hours[-1]:,.1f} h. Check the hours.",
            field="now_h",
        )
