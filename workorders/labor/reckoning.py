"""Counting time: whole minutes, days of the shop's zone, and hours as they are sold. Pure; no float.

Moments are read as on the face of a clock, to the whole minute, so that stretches that follow each other add up to the
time from the first beginning to the last end. Between two moments lies the time that really passed: a change to or
from daylight-saving time makes a stretch neither longer nor shorter.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import UTC, date, datetime, time, timedelta, tzinfo
from decimal import ROUND_HALF_UP, Decimal

EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
MINUTE = timedelta(minutes=1)
DAY_TURNS = timedelta(hours=4)
"""A working day ends when this much of the next has passed (common practice, no source): an evening's work that goes
past midnight is still of its day, a clock that runs at breakfast was forgotten."""
PRESSED, HANDED_OVER, PAUSED, ANSWERED = "off", "handed-over", "pause", "until"


def whole_minutes(start: datetime, end: datetime) -> int:
    """The minutes from one moment to another, each read to its whole minute; negative where the end is earlier."""
    return (end - EPOCH) // MINUTE - (start - EPOCH) // MINUTE


def working_day(moment: datetime, zone: tzinfo) -> date:
    """The day that work at this moment belongs to."""
    return (moment.astimezone(zone).replace(tzinfo=None) - DAY_TURNS).date()


def is_same_day(start: datetime, end: datetime, zone: tzinfo) -> bool:
    """Whether both moments lie in one working day."""
    return working_day(start, zone) == working_day(end, zone)


def day_minutes(day: date, zone: tzinfo) -> int:
    """How many minutes a calendar day has: 1440, or an hour less or more where the clocks change."""
    midnight, next_midnight = (datetime.combine(day + timedelta(days=add), time(), zone) for add in (0, 1))
    return whole_minutes(midnight.astimezone(UTC), next_midnight.astimezone(UTC))


def moment_of_day(day: date, clock: time, zone: tzinfo) -> datetime:
    """A time of day as a moment.

    Raises:
        ValueError: the clocks skip this time on that day, or show it twice; the sentence says which.
    """
    first, second = (datetime.combine(day, clock, zone).replace(fold=fold) for fold in (0, 1))
    words = f"{clock.hour % 12 or 12}:{clock.minute:02} {'AM' if clock.hour < 12 else 'PM'}"
    if first.utcoffset() != second.utcoffset():
        back = first.astimezone(UTC).astimezone(zone).replace(tzinfo=None)
        if back != first.replace(tzinfo=None):
            raise ValueError(f"The clocks went forward on this day: there was no {words}.")
        raise ValueError(f"The clocks went back on this day: {words} came twice. Enter the hours instead.")
    return first.astimezone(UTC)


def end_of(
    start: datetime, ends: Iterable[tuple[str, datetime]], next_start: datetime | None, zone: tzinfo
) -> datetime | None:
    """When a clock that began at ``start`` ended; None where that is not known, or it still runs.

    ``ends`` are kind and moment of what was said of it: pressed, handed over, paused, or answered later. Whoever
    clocks on elsewhere ends it as well, on the same working day; a day later that says nothing about the evening
    before. Of several the earliest counts, and what was pressed at the time counts before what was answered later,
    so that the order in which they arrive changes nothing.
    """
    said = list(ends)
    pressed = [at for kind, at in said if kind != ANSWERED]
    if next_start is not None and is_same_day(start, next_start, zone):
        pressed.append(next_start)
    answered = [at for kind, at in said if kind == ANSWERED]
    return min(pressed or answered, default=None)


def sold_hours(minutes: int, step: Decimal) -> Decimal:
    """Minutes as hours to be charged: to the shop's step, half up."""
    unit = int(step * 6000)  # hundredths of a minute
    return step * ((2 * minutes * 100 + unit) // (2 * unit))


def plain_hours(minutes: int) -> Decimal:
    """Minutes as decimal hours for reading, to two places, half up."""
    return (Decimal(minutes) / 60).quantize(Decimal("0.01"), rounding=ROUND_HALF_UP)


def minutes_of(hours: Decimal) -> int:
    """Decimal hours as whole minutes, half up."""
    return int((hours * 60).quantize(Decimal(1), rounding=ROUND_HALF_UP))
