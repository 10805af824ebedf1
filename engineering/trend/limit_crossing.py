"""When a reading that creeps meets its limit: an interval of hours, or an honest no."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum
from statistics import median

from engineering.trend.mann_kendall import MannKendall, score_of
from engineering.trend.problem import TrendProblem
from engineering.trend.series import Readings, TooFew, too_few_for_a_trend
from engineering.trend.theil_sen import Line, line_of

FURTHEST = 2.0
"""How far ahead a crossing is told, in lengths of the record (common practice, no source)."""


class Outlook(StrEnum):
    """What the trend says about the limits."""

    NO_TREND = "no trend"
    NO_LIMIT_AHEAD = "no limit ahead"
    PAST = "past its limit"
    AHEAD = "meets its limit"
    FAR_AHEAD = "too far ahead to tell"


@dataclass(frozen=True, slots=True)
class Trend:
    """A reading's trend over engine hours, and what it says of the limits. Values are in the unit of the readings.

    ``limit`` is the one that the trend goes to. The hours are counted from ``from_h``: ``soonest_h`` and ``latest_h``
    by the bounds of the slope, ``hours_left`` by the slope itself; ``latest_h`` is None where the slope's flatter bound
    meets the limit further ahead than can be told.
    """

    line: Line
    test: MannKendall
    outlook: Outlook
    limit: float | None
    from_h: float
    hours_left: float | None = None
    soonest_h: float | None = None
    latest_h: float | None = None

    @property
    def is_trend(self) -> bool:
        """Whether there is a trend at all."""
        return self.outlook is not Outlook.NO_TREND


def trend_of(
    readings: Readings,
    *,
    low: float | None = None,
    high: float | None = None,
    now_h: float | None = None,
    confidence: float = 0.95,
) -> Trend | TooFew:
    """The trend over hours, and the hours until it meets ``low`` or ``high`` (in the unit of the values).

    There is a trend where Mann and Kendall's test says so at 5 % *and* Sen's bounds of the slope leave out zero. The
    crossing is then worked three times, with the slope and with each of its bounds, every line through the median of
    what it leaves over (its own intercept median(value − slope·hours)): as Fieller's interval of a ratio does, this
    lets level and slope go together, and gives no upper end where the flatter slope does not get there. It bounds where
    the line meets the limit; single readings scatter around the line. ``now_h`` are the engine's hours now, by default
    the last reading's. Nothing is told further ahead than twice the length of the record.
    Source: Sen (1968) for line and bounds; the crossing is common practice, no source.

    Raises:
        TrendProblem: limits that contradict each other or are not finite, hours now before the last reading, or a
            confidence out of its range.
    """
    _check(readings, low, high, now_h)
    too_few = too_few_for_a_trend(readings)
    if too_few is not None:
        return too_few
    line, test = line_of(readings, confidence=confidence), score_of(readings)
    from_h = readings.hours[-1] if now_h is None else now_h
    if not test.tells_of_a_trend or line.slope_low <= 0 <= line.slope_high:
        return Trend(line, test, Outlook.NO_TREND, None, from_h)
    limit = high if line.slope > 0 else low
    if limit is None:
        return Trend(line, test, Outlook.NO_LIMIT_AHEAD, None, from_h)
    crossings = [_crossing(readings, slope, limit) - from_h for slope in (line.slope, line.slope_low, line.slope_high)]
    left, soonest, latest = crossings[0], min(crossings), max(crossings)
    if left <= 0:
        return Trend(line, test, Outlook.PAST, limit, from_h)
    furthest = FURTHEST * readings.span_h
    if left > furthest:
        return Trend(line, test, Outlook.FAR_AHEAD, limit, from_h, soonest_h=max(0.0, soonest))
    return Trend(
        line,
        test,
        Outlook.AHEAD,
        limit,
        from_h,
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
        raise TrendProblem("The lower limit is above the upper one. Exchange them.", field="low")
    if now_h is not None and readings.hours and now_h < readings.hours[-1]:
        raise TrendProblem(
            f"The engine has {now_h:,.1f} h now, but a reading is from {readings.hours[-1]:,.1f} h. Check the hours.",
            field="now_h",
        )
