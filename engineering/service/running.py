"""How an engine runs from day to day, where that is known well enough, and on which day hours will be used up."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction
from itertools import pairwise

from engineering.service.use import HoursOn

WINDOW = timedelta(days=800)
"""Two seasons. Use of before says little of the next months. Common practice, no source."""
SHORTEST = 14
"""Days that a stretch has at least: a sea trial and a weekend are no habit. Common practice, no source."""
KNOWN_DAYS = 60
"""Days in the water over which the use is known, where there are several stretches. Common practice, no source."""
YEAR_OF_IT = 300
"""One stretch alone has to cover the seasons. Common practice, no source."""
FRESH_DAYS = 180
"""Days in the water after which the last reading says nothing of the use of now. Common practice, no source."""
FARTHEST_DAYS = 3650
"""A day more than ten years off says no more than that the engine is hardly used."""


@dataclass(frozen=True, slots=True)
class LaidUp:
    """Days on which a boat is laid up, both included; ``until_on`` is None where no end is known."""

    from_on: date
    until_on: date | None = None

    def covers(self, day: date) -> bool:
        """Whether the boat is laid up on that day."""
        return self.from_on <= day and (self.until_on is None or day <= self.until_on)


@dataclass(frozen=True, slots=True)
class Use:
    """Hours a day in the water: over all of it, and in the quietest and the busiest stretch.

    ``quietest`` may be 0. ``since_on`` and ``until_on`` are the days of the first and the last reading.
    """

    mean: Fraction
    quietest: Fraction
    busiest: Fraction
    since_on: date
    until_on: date

    @property
    def per_week(self) -> Decimal:
        """Hours a week, to a tenth."""
        week = 7 * self.mean
        return (Decimal(week.numerator) / week.denominator).quantize(Decimal("0.1"), rounding=ROUND_HALF_UP)


@dataclass(frozen=True, slots=True)
class Expected:
    """When hours will be used up: at the mean use, and between the busiest and the quietest.

    ``latest_on`` is None where the quietest stretch would never get there within ten years, or not before a lay-up
    without end.
    """

    about_on: date
    earliest_on: date
    latest_on: date | None


def days_in_water(from_on: date, until_on: date, laid_up: Iterable[LaidUp]) -> int:
    """Days from one day to another on which the boat was not laid up."""
    days = (until_on - from_on).days
    for one in merged(laid_up):
        began, ended = max(one.from_on, from_on), min(one.until_on or until_on, until_on)
        days -= max(0, (ended - began).days)
    return max(0, days)


def use_of(readings: Iterable[HoursOn], today: date, laid_up: Sequence[LaidUp] = ()) -> Use | None:
    """How the engine runs, from hours that were read; None where that is not known well enough.

    Known well enough: the last reading is not more than 180 days in the water ago, and the readings of the last 800
    days have two stretches of 14 days at least and 60 days in all, or one of 300 days. Days laid up do not count.
    None as well where readings run backward. Source: common practice, no source.
    """
    by_day: dict[date, Decimal] = {}
    for one in readings:
        if one.hours is not None and today - WINDOW <= one.on <= today:
            by_day[one.on] = max(one.hours, by_day.get(one.on, one.hours))
    known = sorted(by_day.items())
    if len(known) < 2 or any(later < earlier for (_, earlier), (_, later) in pairwise(known)):
        return None
    if days_in_water(known[-1][0], today, laid_up) > FRESH_DAYS:
        return None
    stretches = _stretches(known, laid_up)
    days = sum(length for _, length in stretches)
    if not stretches or days < (KNOWN_DAYS if len(stretches) > 1 else YEAR_OF_IT):
        return None
    rates = [Fraction(hours) / length for hours, length in stretches]
    mean = Fraction(sum((hours for hours, _ in stretches), Decimal(0))) / days
    return Use(mean, min(rates), max(rates), known[0][0], known[-1][0])


def _stretches(known: Sequence[tuple[date, Decimal]], laid_up: Sequence[LaidUp]) -> list[tuple[Decimal, int]]:
    """Hours run and days in the water between readings, each of 14 days at least; a short end joins the one before."""
    found: list[tuple[Decimal, int]] = []
    start = 0
    for index in range(1, len(known)):
        length = days_in_water(known[start][0], known[index][0], laid_up)
        if length >= SHORTEST:
            found.append((known[index][1] - known[start][1], length))
            start = index
    if start < len(known) - 1 and found:
        hours, length = found.pop()
        tail = days_in_water(known[start][0], known[-1][0], laid_up)
        found.append((hours + known[-1][1] - known[start][1], length + tail))
    return found


def expected(left: Decimal, from_on: date, use: Use, laid_up: Sequence[LaidUp] = ()) -> Expected | None:
    """When ``left`` hours from a day on will be used up; None where no day can be said.

    Each day is rounded down: the day in whose course the hours are used up.
    """
    about, earliest, latest = (_day_of(left, from_on, rate, laid_up) for rate in (use.mean, use.busiest, use.quietest))
    if about is None or earliest is None:
        return None
    return Expected(about, min(earliest, about), latest)


def _day_of(left: Decimal, from_on: date, rate: Fraction, laid_up: Sequence[LaidUp]) -> date | None:
    if rate <= 0:
        return None
    days = int(Fraction(left) // rate)
    return None if days > FARTHEST_DAYS else _after(from_on, days, laid_up)


def _after(day: date, days: int, laid_up: Sequence[LaidUp]) -> date | None:
    """The day so many days in the water later; None where the boat is laid up without end before."""
    for one in merged(laid_up):
        if one.until_on is not None and one.until_on < day:
            continue
        before = max(0, (one.from_on - day).days)
        if days < before:
            return day + timedelta(days=days)
        if one.until_on is None:
            return None
        days -= before
        day = one.until_on
    return day + timedelta(days=days)


def merged(laid_up: Iterable[LaidUp]) -> list[LaidUp]:
    """The same days without overlaps, in order."""
    found: list[LaidUp] = []
    for one in sorted(laid_up, key=lambda one: one.from_on):
        last = found[-1] if found else None
        if last is not None and (last.until_on is None or one.from_on <= last.until_on):
            if last.until_on is not None and (one.until_on is None or one.until_on > last.until_on):
                found[-1] = LaidUp(last.from_on, one.until_on)
        else:
            found.append(one)
    return found
