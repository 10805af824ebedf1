"""What a report takes of a job's codes where that is easily taken wrongly: order, other units, later clears, notes."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from decimal import Decimal
from zoneinfo import ZoneInfo

import pytest

from engineering.codes import Code, CodeSystem
from findings.instruments.actions import add_instrument
from findings.reports.aboard import aboard
from findings.reports.gather_codes import CodesOfJob
from findings.reports.record import CorrectionFacts, FaultFacts, ScanFacts, SeenFacts
from findings.reports.source import Source
from tests.cast import Cast
from tests.findings.story import COOLANT, LEAN, OIL, at, clear, fault, open_job, scan, seen, work
from vessels.actions import add_unit, amend_text, remove_unit, retract
from workorders.models import Job

pytestmark = pytest.mark.django_db
ZONE = ZoneInfo("America/New_York")
PORT = "Engine control unit (port)"


def codes_of(job: Job) -> CodesOfJob:
    job.refresh_from_db()
    return CodesOfJob(Source(job, ZONE, aboard(job)))


def faults_of(job: Job) -> dict[str, FaultFacts]:
    return {one.code: one for one in codes_of(job).faults()}


def closed(job: Job, day: float) -> Job:
    job.state, job.closed_at = "closed", at(day)
    job.save()
    return job


def test_what_is_there_stands_before_what_is_gone_and_what_came_back_first(cast: Cast) -> None:
    spn = {name: Code(CodeSystem.SPN, f"{number}-3") for number, name in enumerate(
        ("historic", "cleared", "stored", "active", "not fixed yet", "returned"), start=101
    )}  # fmt: skip
    scan(cast, 0, 100, [seen(spn[one]) for one in ("historic", "cleared", "returned")])
    clear(cast, 1, 100, [fault(spn["cleared"]), fault(spn["returned"])])
    scan(cast, 2, 101)
    job = open_job(cast, 3)
    now = [seen(spn[one]) for one in ("active", "not fixed yet", "returned")]
    scan(cast, 3, 102, [*now, seen(spn["stored"], "stored")], complete=False, job=job)
    clear(cast, 4, 102, [fault(spn["not fixed yet"])], job=job)
    scan(cast, 5, 103, [seen(spn["not fixed yet"])], complete=False, job=job, phase="sea-trial")
    told = [(one.state, one.code) for one in codes_of(job).faults()]
    assert told == [(name, str(spn[name])) for name in reversed(spn)]


def test_a_clear_after_the_job_is_not_in_its_report(cast: Cast) -> None:
    """No scan followed it, so that nothing but the clear tells of the time after the job."""
    job = open_job(cast)
    scan(cast, 1, 700, [seen(LEAN)], job=job)
    closed(job, 2)
    clear(cast, 30, 720, job=open_job(cast, 30))
    told = faults_of(job)["P0171"]
    assert (told.state, told.says, told.episodes[0].closed_at) == ("active", "Active: seen once, at 700 h.", None)


def on_the_other_engine(cast: Cast) -> None:
    scan(cast, -20, 600, [seen(LEAN)], unit=cast.starboard_unit)


def another_code_on_a_unit_before(cast: Cast) -> None:
    scan(cast, -20, 600, [seen(OIL)])
    replace_port_unit(cast)


def only_in_a_scan_that_was_voided(cast: Cast) -> None:
    made = scan(cast, -20, 600, [seen(LEAN)])
    retract(by=cast.tech, entry=made.entry, reason="Another boat.")
    replace_port_unit(cast)


def the_same_code_on_the_unit_before(cast: Cast) -> None:
    scan(cast, -20, 600, [seen(LEAN)])
    replace_port_unit(cast)


def replace_port_unit(cast: Cast) -> None:
    remove_unit(by=cast.tech, unit=cast.port_unit, happened_at=at(-10))
    cast.port_unit = add_unit(
        by=cast.tech, vessel=cast.vessel, engine=cast.port, name="New unit", address=7, happened_at=at(-9)
    )


@pytest.mark.parametrize(
    ("before", "is_told"),
    [
        (on_the_other_engine, False),
        (another_code_on_a_unit_before, False),
        (only_in_a_scan_that_was_voided, False),
        (the_same_code_on_the_unit_before, True),
    ],
)
def test_another_unit_that_had_the_code_is_told_where_it_was_of_the_same_engine(
    cast: Cast, before: Callable[[Cast], None], is_told: bool
) -> None:
    old = cast.port_unit
    before(cast)
    old.refresh_from_db()
    job = open_job(cast)
    scan(cast, 1, 700, [seen(LEAN)], job=job)
    (told,) = (one for one in codes_of(job).faults() if one.code == "P0171" and one.engine == "Port")
    words = f" The same code is on record of {old} as well, with a history of its own." if is_told else ""
    assert told.says == f"Active: seen once, at 700 h.{words}"


def seen_on_it(cast: Cast, job: Job) -> None:
    scan(cast, 1, 700, [seen(COOLANT)], job=job)


def worked_on_alone(cast: Cast, job: Job) -> None:
    work(cast, 1, 700, [fault()], job=job)


def cleared_by_name_when_it_was_long_gone(cast: Cast, job: Job) -> None:
    scan(cast, 0.5, 690)
    clear(cast, 1, 700, [fault()], job=job)


def cleared_with_everything(cast: Cast, job: Job) -> None:
    clear(cast, 1, 700, job=job)


def cleared_with_everything_when_it_was_long_gone(cast: Cast, job: Job) -> None:
    scan(cast, 0.5, 690)
    clear(cast, 1, 700, job=job)


def another_code_on_it(cast: Cast, job: Job) -> None:
    scan(cast, 1, 700, [seen(OIL)], complete=False, job=job)


def work_that_was_voided(cast: Cast, job: Job) -> None:
    made = work(cast, 1, 700, [fault()], job=job)
    retract(by=cast.tech, entry=made.entry, reason="Another boat.")


@pytest.mark.parametrize(
    ("happens", "is_of_job"),
    [
        (seen_on_it, True),
        (worked_on_alone, True),
        (cleared_by_name_when_it_was_long_gone, True),
        (cleared_with_everything, True),
        (cleared_with_everything_when_it_was_long_gone, False),
        (another_code_on_it, False),
        (work_that_was_voided, False),
    ],
)
def test_a_code_of_before_is_of_the_job_where_the_job_had_to_do_with_it(
    cast: Cast, happens: Callable[[Cast, Job], None], is_of_job: bool
) -> None:
    scan(cast, 0, 680, [seen(COOLANT)])
    job = open_job(cast, 1)
    happens(cast, job)
    assert faults_of(job)["SPN 110 FMI 0"].in_this_job is is_of_job


def test_a_scan_that_was_corrected_is_told_with_who_found_it_who_corrected_it_and_what_a_note_says(cast: Cast) -> None:
    job = open_job(cast)
    reader = add_instrument(
        by=cast.manager, kind="Code reader", make="Tidewell R7", serial="77-C", calibrated_on=date(2025, 1, 2),
        due_on=date(2026, 1, 2),
    )  # fmt: skip
    wrong = scan(cast, 1, 700, [seen(COOLANT)], job=job)
    right = scan(
        cast, 1, 700, [seen(OIL, "stored", 0), seen(COOLANT, "pending")], job=job, amends=wrong.entry, complete=False,
        registered=reader, not_understood=2, phase="sea-trial",
    )  # fmt: skip
    note = amend_text(by=cast.manager, entry=right.entry, text="The key was off.")
    assert list(codes_of(job).scans()) == [
        ScanFacts(
            at=at(1), hours=Decimal(700), unit=PORT, engine="Port", phase="Sea trial", is_complete=False,
            instrument="Code reader, Tidewell R7", by="Tomas Reef", not_understood=2,
            seen=(
                SeenFacts(code="SPN 100 FMI 1", status="stored", count=0),
                SeenFacts(code="SPN 110 FMI 0", status="pending", count=None),
            ),
            is_correction=True, corrected_by="Tomas Reef", instrument_serial="77-C", calibrated_on=date(2025, 1, 2),
            calibrated_until=date(2026, 1, 2),
            corrections=(CorrectionFacts(by="Mina Sparrow", at=note.recorded_at, text="The key was off."),),
        ),
    ]  # fmt: skip


def test_work_and_clears_are_told_in_order_of_happening_with_what_corrects_them(cast: Cast) -> None:
    job = open_job(cast)
    scan(cast, 1, 700, [seen(COOLANT), seen(OIL)], job=job)
    later = work(cast, 3, 702, [fault(OIL), fault(COOLANT)], "Replaced the loom.", job=job)
    work(cast, 2, 701, [fault(COOLANT)], "Cleaned the connector.", job=job)
    cleared = clear(cast, 5, 703, [fault(OIL), fault(COOLANT)], job=job, text="By the owner's wish.")
    clear(cast, 4, 702, job=job)
    written = [
        amend_text(by=cast.manager, entry=later.entry, text="The port loom."),
        amend_text(by=cast.manager, entry=cleared.entry, text="Key off before."),
    ]
    notes = [(CorrectionFacts(by="Mina Sparrow", at=one.recorded_at, text=one.text),) for one in written]
    codes = codes_of(job)
    assert [(one.text, one.codes, one.corrections) for one in codes.work()] == [
        ("Cleaned the connector.", ("SPN 110 FMI 0",), ()),
        ("Replaced the loom.", ("SPN 100 FMI 1", "SPN 110 FMI 0"), notes[0]),
    ]
    assert [(one.hours, one.codes, one.text, one.corrections) for one in codes.clears()] == [
        (Decimal(702), (), "", ()),
        (Decimal(703), ("SPN 100 FMI 1", "SPN 110 FMI 0"), "By the owner's wish.", notes[1]),
    ]
    last = faults_of(job)["SPN 110 FMI 0"].last_work
    assert last is not None
    assert (last.text, last.corrections) == ("Replaced the loom.", notes[0])
