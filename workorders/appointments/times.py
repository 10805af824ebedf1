"""When an appointment is, by the shop's clock. Pure.

A time of day is kept as it was said, with its day: nine o'clock stays nine o'clock when the clocks change. What it
takes of real time is worked out from that: a day on which the clocks go forward has 23 hours.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from enum import StrEnum
from zoneinfo import ZoneInfo

NOON = time(12)
LEAST_MINUTES, MOST_MINUTES = 5, 24 * 60
MOST_DAYS = 60


class When(StrEnum):
    """How exactly it is said."""

    TIME = "time"
    MORNING = "morning"
    AFTERNOON = "afternoon"
    DAY = "day"


WHEN_WORDS = {
    When.TIME: "At a time",
    When.MORNING: "In the morning",
    When.AFTERNOON: "In the afternoon",
    When.DAY: "All day",
}


class NoSuchTimeError(ValueError):
    """A time that the shop's clock does not show on that day."""


@dataclass(frozen=True)
class Span:
    """From a moment until another, which is no part of it. Both in UTC."""

    start: datetime
    end: datetime

    def meets(self, other: Span) -> bool:
        """Whether the two share any time. One that ends as the other begins does not."""
        return self.start < other.end and other.start < self.end


def moment_of(day: date, at: time, zone: ZoneInfo) -> datetime:
    """The moment at which the shop's clock shows that; of an hour that comes twice the first.

    Raises:
        NoSuchTimeError: the clocks go forward over it.
    """
    said = datetime.combine(day, at, zone)
    moment = said.astimezone(UTC)
    if moment.astimezone(zone).replace(tzinfo=None) != said.replace(tzinfo=None):
        raise NoSuchTimeError("On this day the clocks go forward over this time.")
    return moment


def time_of(text: str) -> time | None:
    """A time of day as it is kept, "09:30"; None where there is none.

    Raises:
        ValueError: it is none.
    """
    return None if not text else time.fromisoformat(text).replace(second=0, microsecond=0, tzinfo=None)


def _first_of(day: date, zone: ZoneInfo) -> datetime:
    """The beginning of a day. Where the clocks go forward at midnight, it begins at the first time that there is."""
    return datetime.combine(day, time(0), zone).astimezone(UTC)


def span_of(day: date, when: When, zone: ZoneInfo, *, at: time | None, minutes: int | None, days: int) -> Span:
    """What of time an appointment may take: at a time its minutes, else the whole part of the day or all its days.

    Raises:
        NoSuchTimeError: as ``moment_of``.
        ValueError: a time is asked for and not said.
    """
    if when is When.TIME:
        if at is None or minutes is None:
            raise ValueError("a time needs its time of day and its minutes")
        start = moment_of(day, at, zone)
        return Span(start, start + timedelta(minutes=minutes))
    if when is When.DAY:
        return Span(_first_of(day, zone), _first_of(day + timedelta(days=days), zone))
    noon = moment_of(day, NOON, zone)
    if when is When.MORNING:
        return Span(_first_of(day, zone), noon)
    return Span(noon, _first_of(day + timedelta(days=1), zone))


def clock_words(at: time) -> str:
    """A time of day as people say it: 9:05 AM."""
    return f"{at.hour % 12 or 12}:{at.minute:02} {'PM' if at.hour > 11 else 'AM'}"


def lasting_words(minutes: int) -> str:
    """How long: 45 min, 2 h, 1 h 30 min."""
    hours, rest = divmod(minutes, 60)
    said = [f"{hours} h"] if hours else []
    if rest or not hours:
        said.append(f"{rest} min")
    return " ".join(said)


def when_words(when: When, at: time | None, minutes: int | None, days: int) -> str:
    """When on its day: “9:00 AM, 1 h 30 min”, “in the morning”, “all day”, “all day, 3 days”."""
    if when is When.DAY:
        return "all day" if days == 1 else f"all day, {days} days"
    said = clock_words(at) if when is When.TIME and at is not None else WHEN_WORDS[when].lower()
    return said if minutes is None else f"{said}, {lasting_words(minutes)}"
