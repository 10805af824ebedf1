"""Moving a job through its action."""

from __future__ import annotations

import uuid
from datetime import timedelta
from decimal import Decimal

import pytest
from django.utils import timezone

from commands.refusals import Conflict, Refused
from tests.cast import Cast
from vessels.log.verify import broken_link
from vessels.models import LogEntry
from workorders.actions import add_charge, add_line, asks_why, change_intake, change_line, move_job, strike_charge
from workorders.models import Job, JobMove
from workorders.states import MOVES, JobState


def move(job: Job, to: str, by: object, reason: str = "", **more: object) -> Job:
    return move_job(by=by, job=job, to=to, reason=reason, seen_version=job.version, **more)  # type: ignore[arg-type]


def put_into(job: Job, state: JobState) -> None:
    """Straight into a state, without a move."""
    ended = state in {JobState.CLOSED, JobState.CANCELED}
    Job.objects.filter(pk=job.pk).update(state=state.value, closed_at=timezone.now() if ended else None)
    job.refresh_from_db()


def test_a_move_is_told_with_both_states_and_the_reason(cast: Cast, job: Job) -> None:
    move(job, "authorized", cast.desk, "By phone, Wes Harrow, 2:10 PM")
    entry = LogEntry.objects.get(job=job, kind="job-moved")
    told = JobMove.objects.get(entry=entry)
    assert (told.from_state, told.to_state, told.reason) == ("estimate", "authorized", "By phone, Wes Harrow, 2:10 PM")
    assert (job.state, job.state_since, job.version, job.changed_by) == ("authorized", entry.happened_at, 2, cast.desk)
    assert broken_link(cast.vessel) is None


@pytest.mark.parametrize("start", JobState)
@pytest.mark.parametrize("end", JobState)
def test_every_pair_moves_or_is_refused_by_the_table(cast: Cast, job: Job, start: JobState, end: JobState) -> None:
    put_into(job, start)
    if end in MOVES[start]:
        assert move(job, end.value, cast.manager, "Because").state == end.value
        assert (job.closed_at is not None) is (end in {JobState.CLOSED, JobState.CANCELED})
    else:
        with pytest.raises(Refused):
            move(job, end.value, cast.manager, "Because")
        assert Job.objects.get(pk=job.pk).state == start.value


@pytest.mark.parametrize("end", ["waiting-parts", "waiting-customer", "waiting-weather", "canceled"])
def test_waiting_and_canceling_want_a_reason(cast: Cast, job: Job, end: str) -> None:
    put_into(job, JobState.IN_WORK)
    with pytest.raises(Refused) as refusal:
        move(job, end, cast.tech, "  ")
    assert "reason" in refusal.value.fields
    assert not LogEntry.objects.filter(kind="job-moved").exists()


@pytest.mark.parametrize(
    ("charges", "asked"),
    [
        ([], True),
        ([("part", "0", "Thermostat, on us")], True),  # a sum of zero
        ([("labor", "120", "Find the cause")], False),
        ([("fee", "0", "Launch"), ("part", "31.50", "Thermostat")], False),
    ],
)
def test_nothing_priced_is_authorized_only_with_what_was_agreed(cast: Cast, job: Job, charges, asked) -> None:
    for kind, price, description in charges:
        add_charge(by=cast.desk, job=job, kind=kind, description=description, unit_price=Decimal(price))
    assert bool(asks_why(job, JobState.ESTIMATE, JobState.AUTHORIZED)) is asked
    if asked:
        with pytest.raises(Refused) as refusal:
            move(job, "authorized", cast.desk, " ")
        assert "Nothing is priced on this job" in refusal.value.fields["reason"]
        move(job, "authorized", cast.desk, "By phone, 2:10 PM: find the cause")
        move(job, "estimate", cast.desk)
    assert move(job, "authorized", cast.desk).state == "authorized"  # what was agreed to is asked for once


def test_a_voided_charge_prices_nothing(cast: Cast, job: Job) -> None:
    strike_charge(by=cast.desk, charge=add_charge(by=cast.desk, job=job, kind="labor", description="Find the cause"))
    with pytest.raises(Refused, match="Nothing is priced"):
        move(job, "authorized", cast.desk)


def test_a_job_without_a_correction_is_ready_only_with_a_word_of_why(cast: Cast, job: Job) -> None:
    add_line(by=cast.desk, job=job, concern="Trim tab sticks")
    put_into(job, JobState.IN_WORK)
    with pytest.raises(Refused, match=r"Lines 1, 2 have no correction"):
        move(job, "ready", cast.tech)
    change_line(by=cast.tech, line=job.lines.get(position=1), seen_version=1, changes={"correction": "New thermostat"})
    with pytest.raises(Refused, match=r"Line 2 has no correction"):
        move(job, "ready", cast.tech)
    assert move(job, "ready", cast.tech, "Owner declined the trim tab").state == "ready"


def test_what_was_explained_when_ready_is_not_asked_again_when_closed(cast: Cast, job: Job) -> None:
    put_into(job, JobState.IN_WORK)
    move(job, "ready", cast.tech, "Could not reproduce it")
    assert move(job, "closed", cast.desk).closed_at is not None


def test_a_concern_added_after_ready_has_to_be_explained_before_closing(cast: Cast, job: Job) -> None:
    put_into(job, JobState.IN_WORK)
    move(job, "ready", cast.tech, "Could not reproduce it")
    add_line(by=cast.desk, job=job, concern="Also leaks at the dock")
    with pytest.raises(Refused, match="no correction"):
        move(job, "closed", cast.desk)


def test_all_corrected_needs_no_reason(cast: Cast, job: Job) -> None:
    change_line(by=cast.tech, line=job.lines.get(), seen_version=1, changes={"correction": "New thermostat"})
    put_into(job, JobState.IN_WORK)
    move(job, "ready", cast.tech)
    assert move(job, "closed", cast.desk).state == "closed"


def test_a_stale_move_is_a_conflict_and_moves_nothing(cast: Cast, job: Job) -> None:
    seen = Job.objects.get(pk=job.pk)
    move(job, "authorized", cast.desk, "By phone")
    with pytest.raises(Conflict) as conflict:
        move_job(by=cast.tech, job=seen, to="canceled", reason="No answer", seen_version=1, seen_state="estimate")
    assert (conflict.value.theirs, conflict.value.by) == ({"state": "authorized"}, "Dora Quill")
    assert Job.objects.get(pk=job.pk).state == "authorized"


def test_a_change_of_the_intake_does_not_stand_in_the_way_of_a_move(cast: Cast, job: Job) -> None:
    change_intake(by=cast.desk, job=job, seen_version=1, changes={"keys": "Board, hook 4"})
    assert (
        move_job(by=cast.desk, job=job, to="authorized", seen_version=1, seen_state="estimate", reason="By phone").state
        == "authorized"
    )


def test_the_same_move_sent_twice_moves_once(cast: Cast, job: Job) -> None:
    entry_id = uuid.uuid4()
    for _ in range(2):
        move_job(by=cast.desk, job=job, to="authorized", seen_version=1, entry_id=entry_id, reason="By phone")
    assert LogEntry.objects.filter(kind="job-moved").count() == 1
    assert job.state == "authorized"


def test_a_late_move_keeps_its_time(cast: Cast, job: Job) -> None:
    when = timezone.now() - timedelta(hours=5)
    move(job, "authorized", cast.desk, "By phone", happened_at=when)
    assert job.state_since == when


def test_a_word_that_is_no_state_is_refused(cast: Cast, job: Job) -> None:
    with pytest.raises(Refused, match="not a state"):
        move(job, "sunk", cast.desk)


def test_opening_again_takes_the_end_away(cast: Cast, job: Job) -> None:
    put_into(job, JobState.CLOSED)
    with pytest.raises(Refused):
        move(job, "in-work", cast.manager)
    move(job, "in-work", cast.manager, "Alarm came back on the way home")
    assert job.closed_at is None
    assert job.is_open
