"""Where a service stands: by hours and by months, with what is not known said as such."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction

from engineering.service.calendar import months_after
from engineering.service.due import ServiceInterval
from engineering.service.running import Expected, LaidUp, Use, days_in_water, expected
from engineering.service.use import HoursOn

SOON_DAYS = timedelta(days=30)
"""Ahead of the day. Common practice, no source."""
SOON_SHARE = Decimal("0.1")
SOON_LEAST, SOON_MOST = Decimal(5), Decimal(25)
"""A tenth of the interval, from 5 to 25 hours, ahead of the hours. Common practice, no source."""
UNKNOWN_USE = Decimal(1)
"""Hours a day that an engine whose use is not known may run before "not due" is no longer said of it. Common practice,
no source: many run less, and one that runs more is seen more often."""


class Standing(StrEnum):
    """Where a service stands, the most urgent first."""

    OVERDUE = "overdue"
    DUE = "due"
    SOON = "soon"
    NOT_KNOWN = "not known"
    NOT_DUE = "not due"


URGENT = list(Standing)


class Unknown(StrEnum):
    """Why something is not known."""

    LAST = "nobody said when it was last done"
    LAST_HOURS = "the hours at the last service are not known"
    NEVER_READ = "no hours have been read since"
    OLD_READING = "the hours were read too long ago"
    METER = "the meter was replaced without being read"
    DOUBT = "hours on record contradict each other"
    BACKWARD = "the hours at the last service do not fit those that were read"


@dataclass(frozen=True, slots=True)
class ByHours:
    """What the hours say. ``left`` is seen from the last reading, below 0 where they are passed.

    ``use_reached`` says that the hours are probably reached already, by the use and not by a reading.
    """

    standing: Standing
    due_at: Decimal | None = None
    left: Decimal | None = None
    seen: HoursOn | None = None
    expected: Expected | None = None
    unknown: Unknown | None = None
    use_reached: bool = False


@dataclass(frozen=True, slots=True)
class ByMonths:
    """What the calendar says."""

    standing: Standing
    due_on: date | None = None
    unknown: Unknown | None = None


@dataclass(frozen=True, slots=True)
class Seen:
    """What is known of an engine's hours now.

    ``read`` is the last reading, ``use`` how it runs where known. ``unread_since`` is the day on which a meter was
    replaced unread, from which on the true hours are not known; ``in_doubt`` says that hours read since the last
    service contradict the clock.
    """

    read: HoursOn | None = None
    use: Use | None = None
    laid_up: Sequence[LaidUp] = ()
    unread_since: date | None = None
    in_doubt: bool = False

    def laid_up_on(self, day: date) -> LaidUp | None:
        """The lay-up that a day falls into."""
        return next((one for one in self.laid_up if one.covers(day)), None)


@dataclass(frozen=True, slots=True)
class Judged:
    """Where a service stands, by either side that its interval has, and the day that is nearest."""

    standing: Standing
    by_hours: ByHours | None
    by_months: ByMonths | None

    @property
    def due_on(self) -> date | None:
        """The nearer of the day by the calendar and the day expected by hours."""
        days = [self.by_months.due_on if self.by_months else None]
        days.append(self.by_hours.expected.about_on if self.by_hours and self.by_hours.expected else None)
        return min((day for day in days if day is not None), default=None)


def judge(
    *, interval: ServiceInterval, last: HoursOn | None, seen: Seen, today: date, last_is_read: bool = True
) -> Judged:
    """Where a service stands today, counted from when it was last done; ``last`` is None where nobody said.

    Whichever comes first: overdue or due by one side is that. Not due is said only where every side says so. Overdue
    is judged by hours that were read and by the calendar, never by an estimate; a meter that was replaced unread later
    takes nothing of it away, as true hours only grow. ``last_is_read`` says that the hours at the last service were
    read on the engine, so that they stand for its hours of that day; hours that somebody told do not.

    Raises ``AmountProblem`` as :func:`months_after` does.
    """
    by_hours = None if interval.hours is None else _by_hours(interval.hours, last, seen, today, last_is_read)
    by_months = None if interval.months is None else _by_months(interval.months, last, today)
    found = [side.standing for side in (by_hours, by_months) if side is not None]
    return Judged(min(found, key=URGENT.index), by_hours, by_months)


def _by_months(months: int, last: HoursOn | None, today: date) -> ByMonths:
    if last is None:
        return ByMonths(Standing.NOT_KNOWN, unknown=Unknown.LAST)
    due_on = months_after(last.on, months)
    if today > due_on:
        return ByMonths(Standing.OVERDUE, due_on)
    if today == due_on:
        return ByMonths(Standing.DUE, due_on)
    return ByMonths(Standing.SOON if due_on - today <= SOON_DAYS else Standing.NOT_DUE, due_on)


def _by_hours(every: Decimal, last: HoursOn | None, seen: Seen, today: date, last_is_read: bool) -> ByHours:
    if last is None or last.hours is None:
        return ByHours(Standing.NOT_KNOWN, unknown=Unknown.LAST if last is None else Unknown.LAST_HOURS)
    due_at = last.hours + every
    position = _position(last, seen.read, last_is_read)
    if position is None or position.hours is None:
        return ByHours(Standing.NOT_KNOWN, due_at, unknown=Unknown.NEVER_READ)
    if _runs_backward(last, seen.read) or seen.in_doubt:
        return ByHours(Standing.NOT_KNOWN, due_at, unknown=Unknown.DOUBT if seen.in_doubt else Unknown.BACKWARD)
    told = ByHours(Standing.NOT_DUE, due_at, due_at - position.hours, position)
    if due_at <= position.hours:
        return replace(told, standing=Standing.OVERDUE if due_at < position.hours else Standing.DUE)
    if seen.unread_since is not None:
        return replace(told, standing=Standing.NOT_KNOWN, unknown=Unknown.METER)
    return _ahead(told, every, seen, today)


def _position(last: HoursOn, read: HoursOn | None, last_is_read: bool) -> HoursOn | None:
    """The last hours that are known: what was read, or what was read at the service itself."""
    if read is not None and read.hours is not None and (read.on >= last.on or not last_is_read):
        return read if read.on >= last.on else None
    return last if last_is_read else None


def _runs_backward(last: HoursOn, read: HoursOn | None) -> bool:
    """Whether the hours at the service contradict what was read: more before it, or fewer after it."""
    if read is None or read.hours is None or last.hours is None:
        return False
    if read.on > last.on:
        return read.hours < last.hours
    return read.on < last.on and read.hours > last.hours


def _ahead(told: ByHours, every: Decimal, seen: Seen, today: date) -> ByHours:
    """What is said while the hours that were read do not reach it."""
    assert told.left is not None  # noqa: S101  (for the type checker)
    assert told.seen is not None  # noqa: S101
    left, since_on = told.left, told.seen.on
    will_be = None
    if seen.use is not None and seen.laid_up_on(today) is None:
        will_be = expected(left, since_on, seen.use, seen.laid_up)
    told = replace(told, expected=will_be, use_reached=will_be is not None and will_be.about_on <= today)
    few = min(SOON_MOST, max(SOON_LEAST, every * SOON_SHARE))
    if left <= few or (will_be is not None and will_be.about_on - today <= SOON_DAYS):
        return replace(told, standing=Standing.SOON)
    most = Fraction(UNKNOWN_USE) if seen.use is None else seen.use.busiest
    if most * days_in_water(since_on, today, seen.laid_up) >= left:
        return replace(told, standing=Standing.NOT_KNOWN, unknown=Unknown.OLD_READING)
    return told
