"""A trend in plain sentences. Values are worded by whoever knows their unit."""

from __future__ import annotations

from collections.abc import Callable

from engineering.trend.limit_crossing import Outlook, Trend
from engineering.trend.series import TooFew

Show = Callable[[float], str]
"""Words a value with its unit: 38.4 is "38.4 psi"."""


def explain_trend(trend: Trend | TooFew, show: Show, show_change: Show | None = None) -> str:
    """What the readings do, and when they meet their limit. ``show`` words a value, ``show_change`` a difference."""
    if isinstance(trend, TooFew):
        return trend.sentence
    count = trend.test.readings
    if trend.outlook is Outlook.NO_TREND:
        return f"No trend: over {count} readings it goes up and down as chance does."
    change = show_change or show
    way = "rises" if trend.line.slope > 0 else "falls"
    moves = [abs(slope) * 100 for slope in (trend.line.slope_low, trend.line.slope_high)]
    said = (
        f"It {way} by about {change(abs(trend.line.slope) * 100)} every 100 h "
        f"({change(min(moves))} to {change(max(moves))}, {trend.line.confidence:.0%} sure, {count} readings)."
    )
    return f"{said} {_limit_words(trend, show)}"


def _limit_words(trend: Trend, show: Show) -> str:
    if trend.limit is None:
        return "No limit is on record on that side."
    limit = show(trend.limit)
    if trend.outlook is Outlook.PAST:
        return f"The line is already past its limit of {limit}."
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
