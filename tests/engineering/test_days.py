"""Days are those of the calendar, where the shop is."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

import pytest

from engineering.codes import CodeStatus
from engineering.days import after_days_words, days_between, days_words
from engineering.faults import Absent, Cleared, Hold, Seen, explain_state, go_on, replay, settle

NEW_YORK = ZoneInfo("America/New_York")
AUCKLAND = ZoneInfo("Pacific/Auckland")


def there(text: str, zone: ZoneInfo = NEW_YORK) -> datetime:
    return datetime.fromisoformat(text).replace(tzinfo=zone)


@pytest.mark.parametrize(
    ("start", "end", "days"),
    [
        ("2026-03-02 17:00", "2026-03-03 08:00", 1),  # yesterday afternoon, this morning: 15 hours
        ("2026-03-02 08:00", "2026-03-02 17:00", 0),
        ("2026-03-02 00:00", "2026-03-02 23:59", 0),
        ("2026-03-02 23:59", "2026-03-03 00:00", 1),
        ("2026-03-02 08:00", "2026-03-03 17:00", 1),  # 33 hours
        ("2026-03-02 17:00", "2026-03-04 08:00", 2),  # 39 hours
        ("2026-03-07 12:00", "2026-03-08 12:00", 1),  # 23 hours: the clocks go forward
        ("2026-10-31 12:00", "2026-11-01 12:00", 1),  # 25 hours
        ("2026-11-01 00:30", "2026-11-01 23:45", 0),  # 24 hours and a quarter, and still one day
        ("2024-02-28 12:00", "2024-03-01 12:00", 2),
        ("2026-03-03 08:00", "2026-03-02 17:00", -1),
    ],
)
def test_days_between(start: str, end: str, days: int) -> None:
    assert days_between(there(start), there(end)) == days
    in_utc = there(start).astimezone(UTC), there(end).astimezone(UTC)
    assert days_between(*in_utc, NEW_YORK) == days


def test_the_calendar_is_that_of_the_shop() -> None:
    evening, night = there("2026-03-02 18:30"), there("2026-03-02 19:30")  # midnight in UTC lies between
    assert days_between(evening, night) == 0
    assert days_between(evening, night, UTC) == 1
    assert days_between(evening, night, AUCKLAND) == 0


def test_a_time_without_a_zone_is_on_no_day() -> None:
    with pytest.raises(ValueError, match="with a zone"):
        days_between(datetime(2026, 3, 2), there("2026-03-02 18:30"))
    with pytest.raises(ValueError, match="with a zone"):
        days_between(there("2026-03-02 18:30"), datetime(2026, 3, 2))


def test_words() -> None:
    assert [days_words(n) for n in (0, 1, 2, 1200)] == ["0 days", "1 day", "2 days", "1,200 days"]
    assert [after_days_words(n) for n in (0, 1, 12)] == ["the same day", "after 1 day", "after 12 days"]


def _story(cleared: str, back: str) -> list[Seen | Cleared]:
    return [
        Seen("a", there("2026-03-02 09:00").astimezone(UTC), None, CodeStatus.ACTIVE),
        Cleared("b", there(cleared).astimezone(UTC), None),
        Seen("c", there(back).astimezone(UTC), None, CodeStatus.ACTIVE),
    ]


@pytest.mark.parametrize(
    ("cleared", "back", "said"),
    [
        ("2026-03-02 17:00", "2026-03-03 08:00", "seen again the next day after it was cleared"),
        ("2026-03-02 17:00", "2026-03-02 17:30", "seen again the same day after it was cleared"),
        ("2026-03-02 18:30", "2026-03-02 19:30", "seen again the same day after it was cleared"),  # midnight in UTC
        ("2026-03-02 17:00", "2026-03-05 08:00", "seen again 3 days after it was cleared"),
    ],
)
def test_a_return_is_told_in_days_of_the_shop(cleared: str, back: str, said: str) -> None:
    history = replay(_story(cleared, back), hold=Hold(zone=NEW_YORK))
    assert said in explain_state(history, NEW_YORK)
    assert said in explain_state(history, UTC)  # a gap is counted once


def test_a_hold_in_days_ends_on_the_day_and_not_at_the_hour() -> None:
    seen, cleared, _ = _story("2026-03-02 17:00", "2026-03-03 08:00")
    absent = Absent("d", there("2026-03-12 08:00").astimezone(UTC), None)
    history = replay([seen, cleared, absent], hold=Hold(days=10, zone=NEW_YORK))
    assert history.held
    assert "absent 10 days later" in explain_state(history, NEW_YORK)
    assert not replay([seen, cleared, absent], hold=Hold(days=11, zone=NEW_YORK)).held


def test_going_on_counts_as_a_whole_replay_does() -> None:
    hold = Hold(hours=Decimal(50), days=400, zone=AUCKLAND)
    first, cleared, back = _story("2026-03-02 17:00", "2026-03-03 05:00")
    before, rest = settle([first, cleared], hold=hold)
    for later in (back, Absent("d", back.at + timedelta(hours=20), None)):
        assert go_on(before, rest, [later], hold=hold)[0] == replay([first, cleared, later], hold=hold)
