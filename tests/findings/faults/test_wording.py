"""What happened the last time, in words."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

import pytest

from engineering.codes import CodeStatus
from engineering.days import days_words
from engineering.faults import Absent, Cleared, Seen, replay
from engineering.hours import hours_words
from findings.faults.wording import Now, as_listed, last_time, length_words, times_words

START = datetime(2026, 3, 1, 9, 0, tzinfo=UTC)


def moment(day, hours):
    return {"at": START + timedelta(days=day), "hours": None if hours is None else Decimal(hours)}


def seen(day, hours, status=CodeStatus.ACTIVE):
    return Seen(f"seen {day}", status=status, **moment(day, hours))


def cleared(day, hours):
    return Cleared(f"cleared {day}", **moment(day, hours))


def absent(day, hours):
    return Absent(f"absent {day}", **moment(day, hours))


@pytest.mark.parametrize(
    ("value", "words"),
    [("1204.5", "1,204.5 h"), ("84.0", "84 h"), ("100", "100 h"), ("0.0", "0 h"), ("12000", "12,000 h")],
)
def test_hours(value, words):
    assert hours_words(Decimal(value)) == words


def test_small_words():
    assert [days_words(1), days_words(12), days_words(1200)] == ["1 day", "12 days", "1,200 days"]
    assert [times_words(1), times_words(2), times_words(3)] == ["once", "twice", "3 times"]
    assert length_words(Decimal("84"), 12) == "84 h · 12 days"
    assert (length_words(None, 12), length_words(None, None)) == ("12 days", "")
    # on one day: no time at all would be said of what nobody measured, and nothing more where hours say it
    assert (length_words(None, 0), length_words(Decimal("1.5"), 0)) == ("less than a day", "1.5 h")
    assert (length_words(Decimal(0), 0), length_words(Decimal(0), 1)) == ("0 h", "0 h · 1 day")


@pytest.mark.parametrize(
    ("evidence", "now", "words"),
    [
        ([seen(0, 100), cleared(1, 101)], (30, 185), "cleared 84 h ago (29 days) on job 1032"),
        ([seen(0, 100), cleared(1, 101)], (30, 185, 29), "cleared 29 days ago (at least 84 h of running) on job 1032"),
        (
            [seen(0, 5), cleared(1, 5)],
            (1100, "6.1", 1),
            "cleared 1,099 days ago (at least 1.1 h of running) on job 1032",
        ),
        ([seen(0, 5), cleared(1, 5)], (1100, 5, 1), "cleared 1,099 days ago on job 1032"),
        ([seen(0, 100), cleared(1, 101)], (1.2, 102, 1), "cleared 1 h ago (today) on job 1032"),
        ([seen(0, 100), cleared(1.3, 101)], (2.1, None), "cleared 1 day ago on job 1032"),  # at 16:12, and at 11:24
        ([seen(0, 100), cleared(1.6, 101)], (1.7, None), "cleared 1 day ago on job 1032"),  # before and after midnight
        ([seen(0, 100), cleared(1, 101)], (30, None), "cleared 29 days ago on job 1032"),
        ([seen(0, None), cleared(1, None)], (1, 500), "cleared today on job 1032"),
        ([seen(0, 100)], (10, 112), "active when last seen, 12 h ago (10 days) on job 1032"),
        ([seen(0, 100, CodeStatus.STORED)], (0.1, 100), "stored when last seen, today on job 1032"),
        ([seen(0, 100, CodeStatus.STORED)], (9, 100), "stored when last seen, 9 days ago on job 1032"),
        (  # the permanent copy alone, today: nobody saw it active today
            [seen(0, 100), seen(10, 112, CodeStatus.PERMANENT)],
            (10, 112),
            "active when last seen, 12 h ago (10 days) on job 1032",
        ),
        (
            [seen(0, 100), absent(1, 104)],
            (30, 114),
            "last seen 14 h ago (30 days) and gone 10 h ago (29 days) with no clear on record in between",
        ),
        (
            [seen(0, 100), cleared(1, 100), absent(90, 160)],
            (99, 200),
            "cleared 100 h ago (98 days) on job 1032, and it held",
        ),
        (
            [seen(0, 1), cleared(1, 1), seen(2, 5), cleared(3, 5), seen(4, 9), cleared(5, 10)],
            (20, 94),
            "cleared 84 h ago (15 days) on job 1032, has returned twice",
        ),
    ],
)
def test_last_time(evidence, now, words):
    history = replay(evidence)
    day, hours, *read = now
    read_at = moment(*read, None)["at"] if read else None
    assert last_time(history, Now(**moment(day, hours), read_at=read_at), job_number=1032) == words


@pytest.mark.parametrize(
    ("evidence", "words"),
    [
        ([seen(0, 100), cleared(1, 100), absent(90, 160)], "cleared 100 h ago (98 days) on job 1032, and it had held"),
        ([seen(0, 100), cleared(1, 100)], "cleared 100 h ago (98 days) on job 1032"),
        (
            [seen(0, 1), cleared(0.5, 1), seen(0.6, 2), cleared(1, 100), absent(90, 160)],
            "cleared 100 h ago (98 days) on job 1032, and it had held, has returned once",
        ),
        ([seen(0, 100)], "active when last seen, 100 h ago (99 days) on job 1032"),
    ],
)
def test_beside_a_code_that_is_listed_again_a_repair_had_held(evidence, words):
    said = last_time(replay(evidence), Now(**moment(99, 200)), job_number=1032)
    assert as_listed(said) == words


def test_last_time_without_a_job_or_any_evidence():
    assert (
        last_time(replay([seen(0, 1)]), Now(**moment(1, 2)), job_number=None)
        == "active when last seen, 1 h ago (1 day)"
    )


@pytest.mark.parametrize(
    ("fates", "words"),
    [
        ({"voided"}, "seen before only in entries that were voided"),
        ({"corrected"}, "seen before only in entries that were corrected"),
        ({"voided", "corrected"}, "seen before only in entries that were corrected or voided"),
        (set(), "seen before only in entries that do not count"),
    ],
)
def test_last_time_of_what_only_entries_tell_that_no_longer_count(fates, words):
    assert last_time(replay([]), Now(**moment(1, 2)), job_number=None, fates=fates) == words


@pytest.mark.parametrize(
    ("at", "now", "said"),
    [
        ("2026-03-02 17:00", "2026-03-03 08:00", "1 day ago"),
        ("2026-03-02 08:00", "2026-03-02 17:00", "today"),
        ("2026-03-02 18:30", "2026-03-02 19:30", "today"),  # midnight in UTC lies between
        ("2026-03-01 17:00", "2026-03-03 08:00", "2 days ago"),
        ("2026-03-02 17:00", "2026-03-02 16:59", "today"),  # a clock that is a minute ahead
    ],
)
def test_how_long_ago_is_told_by_the_shops_calendar(at, now, said):
    zone = ZoneInfo("America/New_York")
    then, looking = (datetime.fromisoformat(text).replace(tzinfo=zone) for text in (at, now))
    assert Now(looking, None).ago(then.astimezone(UTC), None) == said
    assert Now(looking, Decimal(100)).ago(then.astimezone(UTC), Decimal(100)) == said
    aside = said.removesuffix(" ago")
    assert Now(looking, Decimal(184)).ago(then.astimezone(UTC), Decimal(100)) == f"84 h ago ({aside})"


def test_from_an_earlier_day_one_looks_back_in_other_words():
    at = moment(10, 200)["at"]
    then = Now(at, None, is_earlier=True)
    assert [then.ago(at - timedelta(days=days), None) for days in (0, 1, 9)] == [
        "the same day", "1 day before", "9 days before",
    ]  # fmt: skip
    assert Now(at, Decimal(200), is_earlier=True).ago(at - timedelta(days=9), Decimal(116)) == "84 h before (9 days)"


def test_no_hours_are_spoken_of_that_nobody_gave():
    history = replay([seen(0, 100)])
    assert "these hours" not in last_time(history, Now(**moment(0.1, 100)), job_number=None)
