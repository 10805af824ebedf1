"""A trend in plain sentences. Values are worded by whoever knows their unit."""

from __future__ import annotations

from collections.abc import Callable

from engineering.trend.limit_crossing import Outlook, Trend
from engineering.trend.series import TooFew

Show = Callable[[float], str]
"""Words a value with its unit: 38.4 is "38.4 psi"."""


def explain_trend(
    trend: Trend | TooFew, show: Show, show_change: Show | None = None, *, show_in_full: Show | None = None
) -> str:
    """What the readings do, and when they meet their limit. ``show`` words a value, ``show_change`` a difference.

    ``show_in_full`` words a reading beside the limit that it is beyond: rounded, the two may be one.
    """
    in_full = show_in_full or show
    if isinstance(trend, TooFew):
        out = "" if trend.last is None or trend.limit is None else _out_words(trend.last, trend.limit, in_full) + " "
        return out + trend.sentence
    if trend.outlook is Outlook.OUT and trend.last is not None and trend.limit is not None:
        out = _out_words(trend.last, trend.limit, in_full)
        return f"{out} {_way_words(trend, show_change or show)}" if trend.is_trend else out
    count = trend.test.readings
    if trend.outlook is Outlook.NO_TREND:
        if trend.is_level:
            return f"No trend is seen: all {count} readings are the same."
        return f"No trend is seen: chance alone can put {count} readings in such an order."
    return f"{_way_words(trend, show_change or show)} {_limit_words(trend, show)}"


def _out_words(last: float, limit: float, show: Show) -> str:
    side = "below its lower limit" if last < limit else "above its upper limit"
    return f"Out now: the last reading, {show(last)}, is {side} of {show(limit)}."


def _way_words(trend: Trend, change: Show) -> str:
    count = trend.test.readings
    way = "rises" if trend.line.slope > 0 else "falls"
    if trend.told is None:
        return f"It {way}, but over {count} readings how fast is too uncertain to say."
    moves = [abs(slope) * 100 for slope in (trend.told.slope_low, trend.told.slope_high)]
    alike = ", neighbors resemble each other" if trend.memory else ""
    return (
        f"It {way} by about {change(abs(trend.line.slope) * 100)} every 100 h "
        f"({change(min(moves))} to {change(max(moves))}, {trend.line.confidence:.0%} sure, {count} readings{alike})."
    )


def _limit_words(trend: Trend, show: Show) -> str:
    if trend.limit is None:
        return "No limit is on record on that side."
    limit = show(trend.limit)
    if trend.outlook is Outlook.PAST:
        return f"The line is past its limit of {limit}, though the last reading is not: measure again soon."
    if trend.outlook is Outlook.WEAK:
        return f"It goes toward its limit of {limit}, but the trend is too weak to name an hour. Measure again."
    soonest = _hours(trend.soonest_h or 0.0)
    if trend.hours_left is None:
        return (
            f"Its limit of {limit} is further ahead than the record reaches back: not before another {soonest}, "
            "and no date to plan by."
        )
    until = "with no certain end" if trend.latest_h is None else f"at the latest {_hours(trend.latest_h)}"
    return (
        f"It meets its limit of {limit} in about {_hours(trend.hours_left)} of running, at the soonest {soonest}, "
        f"{until}, if nothing is done about it."
    )


def _hours(hours: float) -> str:
    return f"{hours:,.0f} h" if hours >= 10 else f"{hours:.1f} h"
