"""Until which day a judgment of a service holds, as long as nothing is written that it rests on."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import date, timedelta
from fractions import Fraction
from math import ceil

from engineering.service.running import FRESH_DAYS, WINDOW, LaidUp, merged
from engineering.service.standing import SOON_DAYS, UNKNOWN_USE, ByHours, ByMonths, Judged, Seen
from engineering.service.use import HoursOn

A_DAY = timedelta(days=1)
FARTHEST_DAYS = 36525
"""What turns more than a hundred years ahead is not looked for."""


def next_turn(judged: Judged, *, seen: Seen, readings: Iterable[HoursOn], today: date) -> date | None:
    """The first day after today on which a service may be judged otherwise; None where no day changes it.

    ``judged`` is the judgment of today, made from ``seen``; ``readings`` are all hours that were looked at for it.
    Until that day the judgment, its days and its reasons are the same with the same records. On the day itself they
    may still be the same: it is never later than the first change, and sometimes earlier.
    """
    turns = [*_of_lay_ups(seen.laid_up)]
    if judged.by_months is not None:
        turns += _of_months(judged.by_months)
    if judged.by_hours is not None:
        turns += _of_hours(judged.by_hours, seen)
        for one in readings:
            turns += [one.on, one.on + WINDOW + A_DAY]
    return min((day for day in turns if day > today), default=None)


def day_in_water(from_on: date, days: int, laid_up: Sequence[LaidUp]) -> date | None:
    """The first day with at least so many days in the water since another; None where none comes in a hundred years.

    Counts as :func:`engineering.service.running.days_in_water` does.
    """
    if days > FARTHEST_DAYS:
        return None
    day = from_on
    for one in merged(laid_up):
        if one.until_on is not None and one.until_on <= day:
            continue
        free = max(0, (one.from_on - day).days)
        if days <= free:
            break
        if one.until_on is None:
            return None
        days -= free
        day = one.until_on
    return day + timedelta(days=days)


def _of_months(side: ByMonths) -> Iterator[date]:
    """Soon, due, and overdue."""
    if side.due_on is not None:
        yield side.due_on - SOON_DAYS
        yield side.due_on
        if side.due_on < date.max:
            yield side.due_on + A_DAY


def _of_lay_ups(laid_up: Iterable[LaidUp]) -> Iterator[date]:
    """The first day of each, and the first day after."""
    for one in laid_up:
        yield one.from_on
        if one.until_on is not None:
            yield one.until_on + A_DAY


def _of_hours(side: ByHours, seen: Seen) -> Iterator[date]:
    """What is expected comes near or is reached; a reading grows too old to say how the engine runs, or not due."""
    if side.expected is not None:
        yield side.expected.about_on - SOON_DAYS
        yield side.expected.about_on
        yield side.expected.earliest_on + A_DAY
    if seen.use is not None:
        stale = day_in_water(seen.use.until_on, FRESH_DAYS + 1, seen.laid_up)
        if stale is not None:
            yield stale
    most = Fraction(UNKNOWN_USE) if seen.use is None else seen.use.busiest
    if side.seen is not None and side.left is not None and side.left > 0 and most > 0:
        passed = day_in_water(side.seen.on, ceil(Fraction(side.left) / most), seen.laid_up)
        if passed is not None:
            yield passed
