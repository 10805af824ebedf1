"""Whoever asks the log whether an entry counts gets one answer: pages, fault page, Insight, trend, report, Today."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.utils import timezone

from commands.refusals import Refused
from findings.canlogs.models import CanLog
from findings.canlogs.queries import logged_from
from findings.faults.fault_page import evidence_of_fault, fault_on_page, people_who_saw, work_about
from findings.faults.job_findings import findings_of_job
from findings.faults.picturing import _jobs_of
from findings.faults.queries import latest_hours_by_engine
from findings.insight.fleet import fleet_recurrence
from findings.insight.queries import Scope
from findings.readings.actions import log_reading
from findings.readings.models import Parameter, Reading
from findings.readings.queries import effective_readings
from findings.readings.series import series_page
from findings.readings.trending import readings_kept
from findings.reports.aboard import aboard
from findings.reports.gather_codes import CodesOfJob
from findings.reports.gather_readings import readings_of
from findings.reports.source import Source
from shopfloor.today.technician import on_record, with_record
from tests.cast import Cast
from tests.findings.story import COOLANT, OIL, at, clear, fault, scan, seen, work
from vessels.actions import add_vessel, amend_text, log_hours, retract, write_note
from vessels.models import Engine, LogEntry
from vessels.queries import fitted_engines, hours_by_engine, latest_hours
from workorders.models import Job


def hours_by_all(cast: Cast, job: Job, of_fault: int) -> dict[str, Decimal | None]:
    """The last hours of the port engine as each of those who tell them does."""
    entry = latest_hours(cast.port)
    told = aboard(job).last_hours().get(cast.port.pk)
    page = fault_on_page(of_fault)
    known = hours_by_engine([cast.port]).get(cast.port.pk)
    return {
        "latest": entry.engine_hours if entry else None,
        "by engine": known.engine_hours if known else None,
        "fitted": fitted_engines(cast.vessel)[0].engine_hours,
        "lanes": latest_hours_by_engine([cast.port.pk]).get(cast.port.pk),
        "fault page": page.latest_hours if page else None,
        "report": told.engine_hours if told else None,
    }


def test_hours_of_a_corrected_note_count_everywhere(cast: Cast, job: Job) -> None:
    scan(cast, 0, 100, [seen(COOLANT)], job=job)
    note = write_note(
        by=cast.tech, vessel=cast.vessel, engine=cast.port, job_id=job.pk, text="Ran it in the slip.",
        engine_hours=Decimal("101.5"), happened_at=at(1),
    )  # fmt: skip
    second = write_note(by=cast.tech, vessel=cast.vessel, text="On the trailer, rather.")
    amend_text(by=cast.desk, entry=note, text="On the trailer.")
    amend_text(by=cast.desk, entry=second, text="So it was.")
    assert set(hours_by_all(cast, job, fault().pk).values()) == {Decimal("101.5")}
    retract(by=cast.tech, entry=note, reason="Another boat.")
    assert set(hours_by_all(cast, job, fault().pk).values()) == {Decimal(100)}


def test_the_last_hours_are_the_last_and_not_the_highest(cast: Cast, job: Job) -> None:
    scan(cast, 0, 100, [seen(COOLANT)], job=job)
    wrong = log_hours(by=cast.tech, engine=cast.port, shown=Decimal(1010), job_id=job.pk, happened_at=at(60))
    log_hours(by=cast.tech, engine=cast.port, shown=Decimal(101), job_id=job.pk, amends=wrong)
    assert set(hours_by_all(cast, job, fault().pk).values()) == {Decimal(101)}


def reading(cast: Cast, job: Job | None, value: str, day: float = 1, **more: object) -> Reading:
    return log_reading(
        by=cast.tech, vessel=cast.vessel, engine=more.pop("engine", cast.port),
        parameter=Parameter.objects.get(name="Oil pressure"), value=Decimal(value), unit="psi", job=job,
        engine_hours=Decimal(100 + int(day)), happened_at=at(day), **more,
    )  # fmt: skip


def test_a_corrected_reading_counts_once_for_everybody(cast: Cast, job: Job) -> None:
    wrong = reading(cast, job, "445")
    right = reading(cast, job, "44.5", amends=wrong.entry)
    source = Source(job, timezone.get_current_timezone(), aboard(job))
    assert [one.value for one in readings_of(source)] == [Decimal("44.5")]
    assert list(effective_readings().filter(entry__job=job)) == [right]
    assert [(one.latest.reading, one.count) for one in series_page(cast.vessel).series] == [(right, 1)]
    found = effective_readings().filter(entry__job=job)
    kept = readings_kept(found, cast.port)
    assert kept is not None
    assert [value for _, value in kept.pairs] == [44.5]


def test_evidence_taken_back_counts_for_nobody(cast: Cast, job: Job) -> None:
    first = scan(cast, 0, 100, [seen(COOLANT)])
    second = scan(cast, 10, 110, [seen(COOLANT), seen(OIL)], job=job, phase="arrival", file_sha256="ab" * 32)
    cleared = clear(cast, 10.1, 110, [fault()], job=job)
    done = work(cast, 10.2, 110, [fault()], job=job)
    for entry in (second.entry, cleared.entry, done.entry):
        retract(by=cast.tech, entry=entry, reason="Wrong boat.")
    one = fault()
    codes = CodesOfJob(Source(job, timezone.get_current_timezone(), aboard(job)))
    assert not list(codes.scans())
    assert not list(codes.work())
    assert not list(codes.clears())
    assert not _jobs_of(cast.vessel)
    assert not work_about(one)
    assert [(who.name, who.times) for who in people_who_saw(one)] == [(cast.tech.name, 1)]
    assert {row.counts for row in evidence_of_fault(one) if row.pk != first.pk} == {False}
    page = findings_of_job(job)
    assert not page.units
    assert not page.left_open
    assert not page.back
    step = on_record(with_record(Job.objects.filter(pk=job.pk)).get())
    assert (step.has_arrival_scan, step.last_scan_at, step.last_clear_at) == (False, None, None)
    log = CanLog(job=job, sha256="ab" * 32)
    assert not logged_from(log).is_anything
    rows = {str(row.code): row.sightings for row in fleet_recurrence(Scope(), 0, 10)}
    assert rows == {"SPN 110 FMI 0": 1}


# ---- what is logged belongs together


@pytest.fixture
def other(cast: Cast) -> tuple[Job, Engine, LogEntry]:
    """Another boat with an engine, a job and an entry."""
    boat = add_vessel(by=cast.desk, owner=cast.customer, name="Ibis")
    engine = Engine.objects.create(vessel=boat, position="single")
    job = Job.objects.create(
        number=9001, vessel=boat, customer=cast.customer, opened_by=cast.desk, opened_at=at(0), state="in-work"
    )
    entry = log_reading(
        by=cast.tech, vessel=boat, engine=engine, parameter=Parameter.objects.get(name="Oil pressure"),
        value=Decimal(40), unit="psi",
    ).entry  # fmt: skip
    return job, engine, entry


def test_a_reading_names_nothing_of_another_boat(cast: Cast, job: Job, other: tuple[Job, Engine, LogEntry]) -> None:
    strange_job, strange_engine, strange_entry = other
    with pytest.raises(Refused, match="another boat"):
        reading(cast, strange_job, "40")
    with pytest.raises(Refused, match="another boat"):
        reading(cast, job, "40", engine=strange_engine)
    with pytest.raises(Refused, match="same boat"):
        reading(cast, job, "40", amends=strange_entry)
    listed = scan(cast, 0, 100, [seen(COOLANT)], job=job)
    with pytest.raises(Refused, match="same kind"):
        reading(cast, job, "40", amends=listed.entry)
    assert not Reading.objects.filter(entry__vessel=cast.vessel).exists()


def test_a_reading_is_corrected_once(cast: Cast, job: Job) -> None:
    wrong = reading(cast, job, "445")
    right = reading(cast, job, "44.5", amends=wrong.entry)
    with pytest.raises(Refused, match="already"):
        reading(cast, job, "44.6", amends=wrong.entry)
    again = reading(cast, job, "44.6", amends=right.entry)
    retract(by=cast.tech, entry=again.entry, reason="Gauge was off.")
    with pytest.raises(Refused, match="already"):
        reading(cast, job, "44.7", amends=again.entry)
    assert not effective_readings().filter(entry__job=job).exists()


def test_no_entry_names_what_is_of_another_boat(cast: Cast, job: Job, other: tuple[Job, Engine, LogEntry]) -> None:
    strange_job, strange_engine, strange_entry = other
    scan(cast, 0, 100, [seen(COOLANT)], job=job)
    one = fault()
    read = log_hours(by=cast.tech, engine=cast.starboard, shown=Decimal(50))
    before = LogEntry.objects.count()
    with pytest.raises(Refused, match="Job 9001 is for another boat"):
        scan(cast, 1, 101, [], job=strange_job)
    with pytest.raises(Refused, match="Job 9001 is for another boat"):
        clear(cast, 1, 101, [one], job=strange_job)
    with pytest.raises(Refused, match="Job 9001 is for another boat"):
        work(cast, 1, 101, [one], job=strange_job)
    with pytest.raises(Refused, match="of another engine"):
        work(cast, 1, 101, [one], engine=cast.starboard)
    with pytest.raises(Refused, match="Job 9001 is for another boat"):
        log_hours(by=cast.tech, engine=cast.port, shown=Decimal(101), job_id=strange_job.pk)
    with pytest.raises(Refused, match="of another engine"):
        log_hours(by=cast.tech, engine=cast.port, shown=Decimal(101), amends=read)
    with pytest.raises(Refused, match="Job 9001 is for another boat"):
        write_note(by=cast.tech, vessel=cast.vessel, text="x", job_id=strange_job.pk)
    with pytest.raises(Refused, match="This engine is in another boat"):
        write_note(by=cast.tech, vessel=cast.vessel, text="x", engine=strange_engine)
    with pytest.raises(Refused, match="hours cannot be right"):
        write_note(by=cast.tech, vessel=cast.vessel, text="x", engine=cast.port, engine_hours=Decimal(3))
    for act in (scan, clear):
        with pytest.raises(Refused, match="same kind"):
            act(cast, 1, 101, None if act is clear else [], amends=strange_entry)
    assert LogEntry.objects.count() == before


def test_hours_are_corrected_once(cast: Cast) -> None:
    wrong = log_hours(by=cast.tech, engine=cast.port, shown=Decimal(1000))
    log_hours(by=cast.tech, engine=cast.port, shown=Decimal(100), amends=wrong)
    with pytest.raises(Refused, match="already"):
        log_hours(by=cast.tech, engine=cast.port, shown=Decimal(102), amends=wrong)


def test_an_entry_that_was_taken_back_is_marked_among_ones_own(client, cast: Cast) -> None:
    note = write_note(by=cast.tech, vessel=cast.vessel, text="Bilge wet.")
    retract(by=cast.tech, entry=note, reason="Wrong boat.")
    client.force_login(cast.tech)
    assert "voided" in client.get("/").content.decode()
