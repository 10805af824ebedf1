"""Opening a job through its action."""

from __future__ import annotations

import threading
import time
import uuid
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal

import pytest
from django.db import connection, transaction
from django.utils import timezone

from commands.refusals import Refused
from tests.cast import Cast, keep_to_the_office, make_cast
from vessels.log.verify import broken_link
from vessels.models import Customer, LogEntry, Vessel
from vessels.queries import latest_hours
from workorders.actions import open_job
from workorders.models import Job, JobLine, JobMove


def test_a_job_opens_as_an_estimate_and_is_told_in_the_log(cast: Cast) -> None:
    job = open_job(
        by=cast.desk,
        vessel=cast.vessel,
        concerns=["  Alarm above 3000 rpm ", ("Smokes when cold", cast.starboard)],
        condition="Scratch on the port bow",
        contents="Two vests",
        technician=cast.tech,
        promised_on=date(2027, 4, 2),
    )
    assert (job.number, job.state, job.customer, job.technician) == (1001, "estimate", cast.customer, cast.tech)
    assert [(line.position, line.concern, line.engine) for line in job.lines.all()] == [
        (1, "Alarm above 3000 rpm", None),
        (2, "Smokes when cold", cast.starboard),
    ]
    entry = LogEntry.objects.get(job=job)
    assert (entry.kind, entry.author) == ("job-opened", cast.desk)
    assert "Smokes when cold (Starboard · Norrland D6T-370)" in entry.text
    assert "Condition on arrival: Scratch on the port bow" in entry.text
    assert JobMove.objects.get(entry=entry).to_state == "estimate"
    assert broken_link(cast.vessel) is None


def test_numbers_go_on_without_a_gap_after_a_refusal(cast: Cast) -> None:
    first = open_job(by=cast.desk, vessel=cast.vessel, concerns=["One"])
    with pytest.raises(Refused):
        open_job(by=cast.desk, vessel=cast.vessel, concerns=["Two"], hours=[(cast.port, Decimal("-3"))])
    second = open_job(by=cast.desk, vessel=cast.vessel, concerns=["Three"])
    assert second.number == first.number + 1


def test_the_same_form_sent_twice_opens_one_job(cast: Cast) -> None:
    entry_id = uuid.uuid4()
    jobs = [
        open_job(
            by=cast.desk,
            vessel=cast.vessel,
            concerns=["One"],
            hours=[(cast.port, Decimal("12"))],
            entry_id=entry_id,
        )
        for _ in range(2)
    ]
    assert jobs[0] == jobs[1]
    assert Job.objects.count() == JobLine.objects.count() == 1
    assert LogEntry.objects.filter(kind="hours").count() == 1


def test_hours_of_both_engines_are_logged_on_the_job(cast: Cast) -> None:
    job = open_job(
        by=cast.desk,
        vessel=cast.vessel,
        concerns=["One"],
        hours=[(cast.port, Decimal("812.5"))],
        engine=cast.starboard,
        shown_hours=Decimal("806.1"),
    )
    port, starboard = latest_hours(cast.port), latest_hours(cast.starboard)
    assert port is not None
    assert starboard is not None
    assert (port.engine_hours, port.job) == (Decimal("812.5"), job)
    assert starboard.engine_hours == Decimal("806.1")


def test_hours_that_run_backwards_name_their_engine_and_nothing_is_written(cast: Cast) -> None:
    open_job(by=cast.desk, vessel=cast.vessel, concerns=["One"], hours=[(cast.port, Decimal("100"))])
    before = LogEntry.objects.count()
    with pytest.raises(Refused) as refusal:
        open_job(by=cast.desk, vessel=cast.vessel, concerns=["Two"], hours=[(cast.port, Decimal("90"))])
    assert list(refusal.value.fields) == [f"hours-{cast.port.pk}"]
    assert "is less" in refusal.value.fields[f"hours-{cast.port.pk}"]
    assert (Job.objects.count(), LogEntry.objects.count()) == (1, before)


@pytest.mark.parametrize("concerns", [[], ["", "   "], [("  ", None)]])
def test_a_job_needs_a_concern(cast: Cast, concerns: list[str]) -> None:
    with pytest.raises(Refused) as refusal:
        open_job(by=cast.desk, vessel=cast.vessel, concerns=concerns)
    assert "concern" in refusal.value.fields
    assert not Job.objects.exists()


def test_an_engine_of_another_boat_is_refused(cast: Cast) -> None:
    other = Vessel.objects.create(name="Teal", owner=cast.customer)
    with pytest.raises(Refused, match="another boat"):
        open_job(by=cast.desk, vessel=other, concerns=[("One", cast.port)])


def test_front_desk_is_not_given_a_job_to_repair(cast: Cast) -> None:
    with pytest.raises(Refused) as refusal:
        open_job(by=cast.desk, vessel=cast.vessel, concerns=["One"], technician=cast.desk)
    assert "technician" in refusal.value.fields


def test_a_technician_does_not_open_jobs(cast: Cast) -> None:
    keep_to_the_office()
    with pytest.raises(Refused, match="Your role does not allow you to open a job"):
        open_job(by=cast.tech, vessel=cast.vessel, concerns=["One"])


def test_a_spot_that_is_too_long_is_refused_with_its_field(cast: Cast) -> None:
    with pytest.raises(Refused) as refusal:
        open_job(by=cast.desk, vessel=cast.vessel, concerns=["One"], spot="x" * 41)
    assert list(refusal.value.fields) == ["spot"]


def test_the_owner_of_the_day_stays_with_the_job(cast: Cast) -> None:
    job = open_job(by=cast.desk, vessel=cast.vessel, concerns=["One"])
    owner = Customer.objects.create(name="Ann Reed")
    Vessel.objects.filter(pk=cast.vessel.pk).update(owner=owner)
    job.refresh_from_db()
    assert job.customer == cast.customer


def test_a_late_opening_keeps_the_time_when_it_happened(cast: Cast) -> None:
    when = datetime(2024, 5, 3, 14, 0, tzinfo=UTC)
    job = open_job(by=cast.desk, vessel=cast.vessel, concerns=["One"], happened_at=when)
    assert job.opened_at == job.state_since == when
    entry = LogEntry.objects.get(job=job)
    assert entry.happened_at == when
    assert entry.recorded_at > timezone.now() - timedelta(minutes=5)


def test_a_job_from_the_future_is_refused(cast: Cast) -> None:
    with pytest.raises(Refused, match="future"):
        open_job(by=cast.desk, vessel=cast.vessel, concerns=["One"], happened_at=timezone.now() + timedelta(hours=2))


@pytest.mark.usefixtures("committed_db")
def test_one_form_sent_at_the_same_moment_opens_one_job() -> None:
    cast = make_cast()
    entry_id, numbers = uuid.uuid4(), []

    def send() -> None:
        try:
            numbers.append(
                open_job(by=cast.desk, vessel=Vessel.objects.get(), concerns=["One"], entry_id=entry_id).number
            )
        finally:
            connection.close()

    threads = [threading.Thread(target=send) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert numbers == [1001] * 4
    assert Job.objects.count() == 1


def test_a_promise_years_ahead_is_a_slip(cast: Cast) -> None:
    with pytest.raises(Refused) as refusal:
        open_job(by=cast.desk, vessel=cast.vessel, concerns=["Rattles"], promised_on=date(2999, 1, 1))
    assert "Check the year" in refusal.value.fields["promised_on"]
    assert not Job.objects.exists()


def test_two_years_ahead_may_be_promised_and_a_day_more_may_not(cast: Cast) -> None:
    last = timezone.localdate() + timedelta(days=732)
    assert open_job(by=cast.desk, vessel=cast.vessel, concerns=["New engines"], promised_on=last).promised_on == last
    with pytest.raises(Refused, match="too far away"):
        open_job(by=cast.desk, vessel=cast.vessel, concerns=["Paint"], promised_on=last + timedelta(days=1))


def _is_anybody_waiting_for_this() -> bool:
    """Whether another connection waits for the transaction that this one is in."""
    with connection.cursor() as cursor:
        # Not pg_stat_activity, which stays within a transaction what it was when it was first asked for.
        cursor.execute(
            "SELECT EXISTS (SELECT FROM pg_locks WHERE NOT granted AND pg_backend_pid() = ANY(pg_blocking_pids(pid)))"
        )
        return bool(cursor.fetchone()[0])


@pytest.mark.usefixtures("committed_db")
def test_a_boat_taken_in_while_another_is_gets_the_next_number() -> None:
    """Two counters, two boats: the second waits for the first number to be given, and neither is turned away."""
    cast = make_cast()
    other = Vessel.objects.create(name="Teal", owner=cast.customer)
    open_job(by=cast.desk, vessel=cast.vessel, concerns=["Before both"])
    answers: list[object] = []

    def take_in() -> None:
        try:
            answers.append(open_job(by=cast.desk, vessel=other, concerns=["Two"]).number)
        except Exception as problem:
            answers.append(problem)
        finally:
            connection.close()

    thread = threading.Thread(target=take_in)
    with transaction.atomic():
        first = open_job(by=cast.desk, vessel=cast.vessel, concerns=["One"]).number
        thread.start()
        until = time.monotonic() + 60
        while not (waits := _is_anybody_waiting_for_this()) and not answers and time.monotonic() < until:
            time.sleep(0.02)
        assert waits
        assert not answers
    thread.join()
    assert answers == [first + 1]
