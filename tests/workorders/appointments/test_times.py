"""When an appointment is by the shop's clock, the days on which the clocks change among them."""

from datetime import UTC, date, datetime, time
from zoneinfo import ZoneInfo

import pytest

from workorders.appointments.times import NoSuchTimeError, Span, When, span_of, time_of, when_words

NEW_YORK, HAVANA = ZoneInfo("America/New_York"), ZoneInfo("America/Havana")
FORWARD, BACK, PLAIN = date(2026, 3, 8), date(2026, 11, 1), date(2026, 6, 3)


def utc(*parts: int) -> datetime:
    return datetime(*parts, tzinfo=UTC)  # type: ignore[misc, arg-type]


@pytest.mark.parametrize(
    ("day", "when", "at", "minutes", "days", "start", "end"),
    [
        (PLAIN, When.TIME, time(9, 30), 90, 1, utc(2026, 6, 3, 13, 30), utc(2026, 6, 3, 15)),
        (PLAIN, When.MORNING, None, None, 1, utc(2026, 6, 3, 4), utc(2026, 6, 3, 16)),
        (PLAIN, When.AFTERNOON, None, 60, 1, utc(2026, 6, 3, 16), utc(2026, 6, 4, 4)),
        (PLAIN, When.DAY, None, None, 3, utc(2026, 6, 3, 4), utc(2026, 6, 6, 4)),
        # Clocks go forward at 2 AM: the day has 23 hours, and 1:30 plus an hour is 3:30 by the clock.
        (FORWARD, When.DAY, None, None, 1, utc(2026, 3, 8, 5), utc(2026, 3, 9, 4)),
        (FORWARD, When.TIME, time(1, 30), 60, 1, utc(2026, 3, 8, 6, 30), utc(2026, 3, 8, 7, 30)),
        (FORWARD, When.MORNING, None, None, 1, utc(2026, 3, 8, 5), utc(2026, 3, 8, 16)),
        # Clocks go back at 2 AM: the day has 25 hours, and of 1:30, which comes twice, the first is meant.
        (BACK, When.DAY, None, None, 1, utc(2026, 11, 1, 4), utc(2026, 11, 2, 5)),
        (BACK, When.TIME, time(1, 30), 60, 1, utc(2026, 11, 1, 5, 30), utc(2026, 11, 1, 6, 30)),
    ],
)
def test_what_an_appointment_takes_of_time(
    day: date, when: When, at: time | None, minutes: int | None, days: int, start: datetime, end: datetime
) -> None:
    assert span_of(day, when, NEW_YORK, at=at, minutes=minutes, days=days) == Span(start, end)


def test_a_time_that_the_clock_does_not_show_is_refused() -> None:
    with pytest.raises(NoSuchTimeError, match="go forward"):
        span_of(FORWARD, When.TIME, NEW_YORK, at=time(2, 30), minutes=60, days=1)
    span_of(FORWARD, When.TIME, NEW_YORK, at=time(3), minutes=60, days=1)


def test_a_day_that_begins_at_one_o_clock_still_begins() -> None:
    """In Havana the clocks go forward at midnight: Mar 8, 2026 begins at 1:00 (IANA tz, Cuba rules)."""
    found = span_of(FORWARD, When.DAY, HAVANA, at=None, minutes=None, days=1)
    assert found == Span(utc(2026, 3, 8, 5), utc(2026, 3, 9, 4))


def test_one_that_ends_as_another_begins_does_not_meet_it() -> None:
    nine, ten, eleven = utc(2026, 6, 3, 9), utc(2026, 6, 3, 10), utc(2026, 6, 3, 11)
    assert not Span(nine, ten).meets(Span(ten, eleven))
    assert Span(nine, eleven).meets(Span(ten, eleven))


@pytest.mark.parametrize(
    ("when", "at", "minutes", "days", "words"),
    [
        (When.TIME, "09:00", 90, 1, "9:00 AM, 1 h 30 min"),
        (When.TIME, "00:05", 45, 1, "12:05 AM, 45 min"),
        (When.TIME, "12:00", 120, 1, "12:00 PM, 2 h"),
        (When.MORNING, "", None, 1, "in the morning"),
        (When.AFTERNOON, "", 30, 1, "in the afternoon, 30 min"),
        (When.DAY, "", None, 1, "all day"),
        (When.DAY, "", None, 3, "all day, 3 days"),
    ],
)
def test_when_in_words(when: When, at: str, minutes: int | None, days: int, words: str) -> None:
    assert when_words(when, time_of(at), minutes, days) == words
