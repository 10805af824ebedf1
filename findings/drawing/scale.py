"""From hours or days to places on the paper, and the ticks along the way."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from findings.drawing.pictures import Axis

SMALLEST_SPAN = {Axis.HOURS: 10.0, Axis.DATES: 14.0}
AIR = 0.02
DAY_STEPS = (1, 2, 7, 14)
MONTH_STEPS = (1, 2, 3, 6)
FIRST_DAY, LAST_DAY = float(date.min.toordinal() + 1), float(date.max.toordinal() - 1)


@dataclass(frozen=True, slots=True)
class Scale:
    """A straight scale from `low`..`high` to `left`..`right`."""

    low: float
    high: float
    left: float
    right: float

    def at(self, value: float) -> float:
        """The place of a value; what lies outside is put on the edge."""
        share = (value - self.low) / (self.high - self.low)
        return self.left + min(max(share, 0.0), 1.0) * (self.right - self.left)


def scale_over(values: list[float], axis: Axis, left: float, right: float, now: float | None) -> Scale:
    """A scale that shows all values, with some air before the first, and ends at `now` or after the last."""
    known = [value for value in values if math.isfinite(value)]
    low, high = (min(known), max(known)) if known else (now or 0.0, now or 0.0)
    if now is not None and math.isfinite(now):
        low, high = min(low, now), max(high, now)
    span = max(high - low, SMALLEST_SPAN[axis])
    low = min(low - span * AIR, high - span)
    if axis is Axis.HOURS and low < 0 <= min([*known, high]):
        low = 0.0
    return Scale(low, low + span if high <= low else max(high, low + span), left, right)


@dataclass(frozen=True, slots=True)
class Tick:
    """A mark on the axis."""

    at: float
    label: str


def ticks(scale: Scale, axis: Axis, room_for_each: float) -> list[Tick]:
    """Round marks, as many as have room."""
    most = max(2, int((scale.right - scale.left) / room_for_each))
    return hour_ticks(scale.low, scale.high, most) if axis is Axis.HOURS else date_ticks(scale.low, scale.high, most)


def hour_ticks(low: float, high: float, most: int) -> list[Tick]:
    """Ticks at 1, 2 or 5 times a power of ten."""
    rough = (high - low) / most
    power = 10.0 ** math.floor(math.log10(rough))
    step = next(power * factor for factor in (1, 2, 5, 10) if power * factor >= rough)
    decimals = max(0, -math.floor(math.log10(step) + 1e-9))
    first = math.ceil(low / step - 1e-9)
    last = math.floor(high / step + 1e-9)
    return [Tick(index * step, hours_label(index * step, decimals)) for index in range(first, last + 1)]


def hours_label(hours: float, decimals: int | None = None) -> str:
    """Hours as people write them: "1,204.5"."""
    if decimals is None:
        decimals = 0 if round(hours, 1) == round(hours) else 1
    return f"{hours:,.{decimals}f}"


def date_ticks(low: float, high: float, most: int) -> list[Tick]:
    """Ticks at the beginnings of days, months or years."""
    low, high = (min(max(edge, FIRST_DAY), LAST_DAY) for edge in (low, high))
    first, last = date.fromordinal(int(low)), date.fromordinal(int(high))
    days = high - low
    for step in DAY_STEPS:
        if days / step <= most:
            ordinals = range(math.ceil(low / step) * step, math.floor(high) + 1, step)
            return [Tick(float(day), day_label(date.fromordinal(day))) for day in ordinals]
    for step in MONTH_STEPS:
        if days / 30.4 / step <= most:
            return [Tick(float(month.toordinal()), f"{month:%b %Y}") for month in _months(first, last, step)]
    years = max(1, math.ceil(days / 365.25 / most))
    step = next((nice for nice in (1, 2, 5, 10, 20, 50, 100) if nice >= years), years)
    begins = (date(year, 1, 1) for year in range(first.year, last.year + 1) if year % step == 0)
    return [Tick(float(day.toordinal()), str(day.year)) for day in begins if low <= day.toordinal() <= high]


def day_label(day: date) -> str:
    """A day in US order, without a leading zero: "Mar 4, 2026"."""
    return f"{day:%b} {day.day}, {day.year}"


def _months(first: date, last: date, step: int) -> Iterator[date]:
    index = first.year * 12 + first.month - 1
    index += 0 if first.day == 1 else 1
    index = math.ceil(index / step) * step
    while date(index // 12, index % 12 + 1, 1) <= last:
        yield date(index // 12, index % 12 + 1, 1)
        index += step


def place_label(value: float, axis: Axis) -> str:
    """What a place on the axis is called."""
    if axis is Axis.HOURS:
        return f"{hours_label(value)} h"
    return day_label(date.fromordinal(int(min(max(value, FIRST_DAY), LAST_DAY))))
