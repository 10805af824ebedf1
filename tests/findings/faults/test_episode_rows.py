"""The row of an episode, case by case: what ended it, what was done about it, what came of it. Without a database."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from types import SimpleNamespace
from typing import Any
from uuid import UUID, uuid4

import pytest

from engineering.codes import CodeStatus
from engineering.faults import Absent, Cleared, Episode, Evidence, FaultHistory, Hold, Rest, Seen, go_on, settle
from findings.faults import episode_rows, replaying
from findings.faults.episode_rows import episode_row
from findings.faults.history import history_as_json, history_from_json, rest_as_json, rest_from_json
from findings.faults.models import Fault
from findings.faults.replaying import columns_of, place_of
from vessels.models import LogEntry

DAY_ZERO = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
JOB, OTHER_JOB = 7, 8


def day(number: float) -> datetime:
    return DAY_ZERO + timedelta(days=number)


def seen(number: float, hours: int | None = None, status: CodeStatus = CodeStatus.ACTIVE) -> Evidence:
    return Seen(f"seen {number}", day(number), None if hours is None else Decimal(hours), status)


def gone(number: float, hours: int | None = None) -> Evidence:
    return Absent(f"gone {number}", day(number), None if hours is None else Decimal(hours))


def clear(number: float, hours: int | None = None) -> Evidence:
    return Cleared(f"clear {number}", day(number), None if hours is None else Decimal(hours))


def entry(number: float, *, kind: str = "work-done", job: int | None = None, position: int = 1) -> Any:
    return SimpleNamespace(pk=uuid4(), happened_at=day(number), kind=kind, job_id=job, position=position)


def log_entry(number: float, kind: str) -> LogEntry:
    """An entry that a foreign key takes."""
    return LogEntry(pk=uuid4(), happened_at=day(number), kind=kind)


def history_of(*items: Evidence, hold: Hold | None = None) -> FaultHistory:
    return settle(list(items), hold=hold or Hold())[0]


def outcome(*items: Evidence) -> tuple[str, Decimal | None, int | None]:
    """What came of the end of the first episode."""
    history = history_of(*items)
    return episode_rows._outcome(history, history.episodes[0], [*history.episodes, None][1])


@pytest.mark.parametrize(
    ("items", "wanted"),
    [
        ([seen(0, 100)], ("open", None, None)),
        ([seen(0, 100), clear(1, 100)], ("unproven", None, None)),
        ([seen(0, 100), clear(1, 100), gone(10, 120)], ("holding", Decimal(20), 9)),
        ([seen(0, 100), gone(5, 110), gone(10, 120)], ("gone", Decimal(10), 5)),
        ([seen(0, 100), clear(1, 100), gone(30, 150)], ("held", Decimal(50), 29)),
        ([seen(0, 100), clear(1, 100), gone(30, 149)], ("holding", Decimal(49), 29)),
        ([seen(0, 100), clear(1, 100), seen(20, 130)], ("returned", Decimal(30), 19)),
        ([seen(0), clear(1), seen(20)], ("returned", None, 19)),
    ],
)
def test_what_came_of_an_end(items: list[Evidence], wanted: tuple[str, Decimal | None, int | None]) -> None:
    assert outcome(*items) == wanted


def test_what_is_back_on_the_unfinished_job_was_never_fixed_and_has_no_length() -> None:
    visit = "7.0"
    items: list[Evidence] = [
        Seen("a", day(0), Decimal(100), CodeStatus.ACTIVE, visit),
        Cleared("b", day(0.1), Decimal(101), visit),
        Seen("c", day(0.2), Decimal(102), CodeStatus.ACTIVE, visit),
    ]
    history = history_of(*items)
    first, second = history.episodes
    assert episode_rows._outcome(history, first, second)[0] == "unfixed"
    assert episode_rows._between(history, "unfixed", Decimal(1), second) == (None, None)
    assert not episode_rows._is_within(history, 1, Hold())


def test_the_least_and_the_most_behind_an_outcome() -> None:
    returned = history_of(seen(0, 100), clear(1, 100), gone(10, 120), seen(20, 130))
    following = returned.episodes[1]
    assert episode_rows._between(returned, "returned", Decimal(30), following) == (Decimal(20), Decimal(30))
    assert episode_rows._between(returned, "returned", None, following) == (None, None)
    away = history_of(seen(0, 100), gone(5, 110), gone(10, 120))
    assert episode_rows._between(away, "gone", Decimal(10), None) == (Decimal(10), Decimal(20))


@pytest.mark.parametrize(
    ("last_seen", "cleared", "days", "back", "within"),
    [
        (100, 100, 10, 149.9, True),
        (100, 100, 10, 150, False),
        (100, 100, 400, 110, True),  # known hours are what counts
        (None, None, 364, None, True),
        (None, None, 365, None, False),
        (100, None, 365, 150, False),
        (100, None, 365, 149.9, True),  # in a year it ran for less than the hold
        (100, None, 364, 1000, True),
        (None, 100, 365, None, False),
        (200, 300, 365, 210, True),  # hours run backward since the clear, and not since it was seen
        (200, 300, 365, 100, False),
    ],
)
def test_whether_a_return_came_within_the_hold(
    last_seen: float | None, cleared: float | None, days: float, back: float | None, within: bool
) -> None:
    history = history_of(seen(0, last_seen), clear(0.1, cleared), seen(days + 0.1, back))
    assert episode_rows._is_within(history, 1, Hold()) is within


def an_episode(opened: float, closed: float | None) -> Episode:
    items: list[Evidence] = [seen(opened)] if closed is None else [seen(opened), clear(closed)]
    return history_of(*items).episodes[0]


WORK = {
    "before it was seen": ([entry(-1)], None),
    "as it was seen": ([entry(0)], 0),
    "while it was open": ([entry(1)], 0),
    "as it ended": ([entry(2)], 0),
    "within a day of its end, without a job": ([entry(3)], 0),
    "more than a day later, without a job": ([entry(3.01)], None),
    "the last of two": ([entry(1), entry(1.5)], 1),
    "the last of two, told the other way round": ([entry(1.5), entry(1)], 0),
    "of two at one moment the one that was written last": ([entry(1, position=9), entry(1, position=8)], 0),
    "as it was seen again": ([entry(20, job=JOB)], None),
}


@pytest.mark.parametrize("case", WORK)
def test_the_work_that_is_about_an_episode(case: str) -> None:
    work, wanted = WORK[case]
    closing = entry(2, kind="clear", job=JOB if work[0].job_id else None)
    found = episode_rows._work_of(work, an_episode(0, 2), closing, an_episode(20, None))
    assert found is (None if wanted is None else work[wanted])


@pytest.mark.parametrize(
    ("of_work", "of_closing", "is_part"),
    [(JOB, JOB, True), (JOB, OTHER_JOB, False), (JOB, None, False), (None, JOB, False), (None, None, True)],
)
def test_work_written_after_the_end_is_of_the_same_job(of_work: int, of_closing: int, is_part: bool) -> None:
    work = [entry(2.5, job=of_work)]
    found = episode_rows._work_of(work, an_episode(0, 2), entry(2, job=of_closing), None)
    assert (found is not None) is is_part


def test_work_about_what_is_still_open_is_found_without_an_end() -> None:
    (work,) = [entry(5)]
    assert episode_rows._work_of([work], an_episode(0, None), None, None) is work
    assert episode_rows._work_of([], an_episode(0, None), None, None) is None


def test_an_end_is_the_entry_of_its_kind_at_that_moment() -> None:
    one = an_episode(0, 2)
    entries = {
        one.keys[0]: entry(0, kind="scan"),
        "scan of the day": entry(2, kind="scan"),
        one.keys[1]: entry(2, kind="clear"),
    }
    told = replace(one, keys=(one.keys[0], "scan of the day", one.keys[1]))
    evidence: Any = SimpleNamespace(entries=entries)
    assert episode_rows._closing_key(told, evidence) == one.keys[1]
    assert episode_rows._closing_key(replace(told, closed_by="absent"), evidence) == "scan of the day"


def test_marks_are_the_clears_and_the_proof_is_the_last_scan_without_it() -> None:
    items = [seen(0, 100), clear(1), gone(2, 102), gone(3, 103), clear(4, 104)]
    by_key = {item.key: item for item in items}
    keys = [item.key for item in items]
    assert replaying._marks([*keys, "not there"], by_key) == [
        [day(1).isoformat(), None],
        [day(4).isoformat(), "104"],
    ]
    assert replaying._proof({"keys": keys}, by_key) == [day(3).isoformat(), "103"]
    assert replaying._proof({"keys": keys[:2]}, by_key) is None
    assert place_of(items[0]) == [day(0).isoformat(), "100"]


def row(items: list[Evidence], index: int = 0, **told: Any) -> Any:
    history = history_of(*items)
    given: dict[str, Any] = {
        "opening": UUID(int=1), "closing": None, "work": [], "hold": Hold(), "previous": None, "turn": 0, **told,
    }  # fmt: skip
    return episode_row(Fault(pk=3), history, index, **given)


def test_the_row_of_a_repair_that_came_back() -> None:
    items = [seen(0, 100), clear(2, 101), gone(10, 110), seen(20, 130)]
    closing, work = log_entry(2, "clear"), [entry(1)]
    first = row(items, closing=closing, work=work, turn=2)
    assert (first.number, first.opening_id, first.closing_id) == (1, UUID(int=1), closing.pk)
    assert (first.turn, first.is_repair, first.is_comeback, first.work_id) == (3, True, False, work[0].pk)
    assert (first.outcome, first.outcome_hours, first.outcome_days) == ("returned", Decimal(29), 18)
    assert (first.outcome_least_hours, first.outcome_most_hours) == (Decimal(9), Decimal(29))
    assert (first.since_at, first.since_hours) == (day(2), Decimal(101))
    second = row(items, 1, previous=first, turn=3)
    assert (second.turn, second.is_repair, second.is_comeback, second.outcome) == (None, False, True, "open")
    assert (second.gap_hours, second.gap_days) == (Decimal(29), 18)
    assert not row(items, 1, previous=row(items), turn=3).is_comeback, "what nobody repaired is no comeback"
    assert not row(items, 1, previous=first, hold=Hold(hours=Decimal(29))).is_comeback


def test_without_work_an_end_is_a_turn_and_no_repair() -> None:
    made = row([seen(0, 100), clear(2, 101)])
    assert (made.turn, made.is_repair, made.work_id, made.outcome) == (1, False, None, "unproven")


def test_the_columns_are_those_of_the_history() -> None:
    history = history_of(seen(0, 100), clear(1, 100), seen(20, 130, CodeStatus.STORED))
    found = columns_of(history, Rest(None, None), {"state": "kept"})
    assert found == {
        "state": "returned",
        "status_now": "stored",
        "is_open": True,
        "episodes": 2,
        "returns": 1,
        "first_seen_at": day(0),
        "last_seen_at": day(20),
        "last_seen_hours": Decimal(130),
        "cleared_at": day(1),
        "cleared_hours": Decimal(100),
        "history": {"state": "kept", "rest": {"visit": None, "worked": None}},
    }
    assert columns_of(history_of(seen(0, 1), clear(1, 1)), Rest(None, None), {})["status_now"] == ""
    assert set(found) == set(replaying.CACHED)


@pytest.mark.parametrize(
    ("items", "told"),
    [
        # repair at 1,000 h, no codes at 1,030 h, back at 1,051 h: somewhere between 30 and 51 h
        ([seen(0, 1000), clear(1, 1000), gone(10, 1030), seen(20, 1051)], "may be"),
        ([seen(0, 1000), clear(1, 1000), gone(10, 1030), seen(20, 1049)], "within"),
        ([seen(0, 1000), clear(1, 1000), gone(10, 1050), seen(20, 1051)], "later"),
        ([seen(0, 1000), clear(1, 1000), gone(10, 1049), seen(20, 1050)], "may be"),
        ([seen(0, 1000), clear(1, 1000), seen(20, 1400)], "may be"),  # nobody looked in between
        # only the clear has no hours: the engine ran 69 to 70 h, and was seen away for none of them
        ([seen(0, 100), clear(0.1), gone(0.2, 101), seen(20, 170)], "may be"),
        ([seen(0, 100), clear(0.1), gone(0.2, 100), gone(15, 155), seen(20, 170)], "later"),
        ([seen(0, 100), clear(0.1), gone(0.2, 101), gone(15, 149), seen(20, 149)], "within"),
        ([seen(0, 100), clear(0.1), gone(0.2), gone(400, 101), seen(420, 160)], "may be"),
        # no hours at all: by the days
        ([seen(0), clear(1), seen(20)], "within"),
        ([seen(0), clear(1), gone(300), seen(370)], "may be"),
        ([seen(0), clear(1), gone(367), seen(370)], "later"),
        ([seen(0), clear(1), seen(1500)], "may be"),
    ],
)
def test_whether_a_return_was_within_the_hold_is_told_only_where_scans_tell_it(
    items: list[Evidence], told: str
) -> None:
    history = history_of(*items)
    found = (episode_rows._is_within(history, 1, Hold()), episode_rows._may_be_within(history, 1, Hold()))
    assert found == {"within": (True, False), "may be": (False, True), "later": (False, False)}[told]


def test_what_going_on_from_a_stored_history_says_is_the_same() -> None:
    items = [seen(0, 100), clear(0.1), gone(0.2, 100), gone(15, 155), seen(20, 170)]
    for cut in range(1, len(items)):
        before, rest = settle(items[:cut], hold=Hold())
        stored = history_from_json(history_as_json(before))
        assert go_on(stored, rest_from_json(rest_as_json(rest)), items[cut:], hold=Hold())[0] == history_of(*items), cut


@pytest.mark.parametrize(
    ("closing", "at", "is_found"),
    [
        (gone(2), 1.9, True),
        (gone(2), 2, True),  # at one instant work comes before a scan without the code
        (gone(2), 2.04, False),  # gone by the record before anybody worked on it
        (gone(2), 2.9, False),
        (clear(2), 2.04, True),  # after a clear it may be there still
        (clear(2), 2.9, True),
        (clear(2), 3.1, False),
    ],
)
def test_work_after_a_fault_was_found_gone_is_no_repair(closing: Evidence, at: float, is_found: bool) -> None:
    first = history_of(seen(0), closing).episodes[0]
    for job in (None, JOB):
        if job is not None and at > 3:
            continue
        work, ended = [entry(at, job=job)], entry(2, kind="clear", job=job)
        assert (episode_rows._work_of(work, first, ended, None) is not None) is is_found
