"""A report speaks of the time of its job: not of what happened since, and of no more than was looked at."""

from __future__ import annotations

from decimal import Decimal

import pytest

from engineering.codes import CodeSystem
from files.paper.drawing import Stationery
from findings.readings.actions import log_reading
from findings.readings.models import Parameter
from findings.reports import actions
from findings.reports.build import build_findings
from findings.reports.gaps import gaps
from findings.reports.page_one import figures_of, stands
from findings.reports.paper import paper_of
from findings.reports.record import FORMAT, Findings, Record
from findings.reports.render import paper_html
from tests.cast import Cast
from tests.findings import story
from vessels.actions import (
    add_engine,
    add_unit,
    amend_text,
    change_engine,
    change_owner,
    change_vessel,
    identify_unit,
    log_hours,
    remove_engine,
    remove_unit,
    replace_meter,
    retract,
)
from vessels.models import Customer, Engine, HourMeter, LogEntry
from workorders.models import Job

pytestmark = pytest.mark.django_db


def close(job: Job, day: float) -> Job:
    """The job's end, as a plain row."""
    job.state, job.closed_at = "closed", story.at(day)
    job.save()
    return job


def findings_of(cast: Cast, job: Job) -> Findings:
    return build_findings(actions.draft_report(by=cast.tech, job=job))


def words_of(findings: Findings) -> str:
    """The paper's words, on one line."""
    page = paper_html(Record(format=FORMAT, issue=None, findings=findings), Stationery("letter"))
    return " ".join(page.replace("&nbsp;", " ").split())


@pytest.fixture
def closed(cast, job) -> Job:
    """The job with findings, ended on its thirteenth day."""
    return close(job, 13)


def test_hours_read_after_the_job_are_not_in_its_report(cast, closed):
    log_hours(by=cast.tech, engine=cast.port, shown=Decimal("1500"), happened_at=story.at(200))
    found = {engine.position: engine for engine in findings_of(cast, closed).engines}
    assert found["Port"].hours == Decimal("788")
    assert found["Port"].hours_at == story.at(12)


def test_a_meter_replaced_after_the_job_was_not_replaced_then(cast, closed):
    replace_meter(
        by=cast.tech, engine=cast.port, old_shown=Decimal(900), new_shown=Decimal(0), happened_at=story.at(90)
    )
    assert [engine.meter_replaced for engine in findings_of(cast, closed).engines] == [False, False]


def test_a_meter_replaced_unread_leaves_the_hours_unknown(cast, closed):
    replace_meter(by=cast.tech, engine=cast.port, happened_at=story.at(12.5))
    findings = findings_of(cast, closed)
    port = next(engine for engine in findings.engines if engine.position == "Port")
    assert (port.hours, port.hours_at, port.meter_replaced) == (None, None, True)
    words = words_of(findings)
    assert "The hour meter was replaced on Apr 13, 2025, and the old one was not read. Before that: " in words
    assert "these are the engine’s hours" not in words


def test_codes_stand_as_they_stood_when_the_job_ended(cast, closed):
    story.scan(cast, 200, 1500, [story.seen(story.COOLANT), story.seen(story.LEAN)])
    faults = {fault.code: fault for fault in findings_of(cast, closed).faults}
    assert faults["SPN 110 FMI 0"].state == "cleared"
    assert len(faults["SPN 110 FMI 0"].episodes) == 2
    assert "P0171" not in faults


def test_work_done_after_the_job_is_not_the_last_work(cast, closed):
    story.scan(cast, 200, 1500, [story.seen(story.COOLANT)])
    story.work(cast, 201, 1501, [story.fault(story.COOLANT)], text="A new pump.")
    last = {fault.code: fault.last_work for fault in findings_of(cast, closed).faults}["SPN 110 FMI 0"]
    assert last is not None
    assert last.text == "Replaced the thermostat."


def test_a_scan_of_the_job_that_is_voided_later_counts_no_more(cast, closed):
    """What is known of that time counts, whenever it was put right."""
    scan = LogEntry.objects.get(kind="scan", happened_at=story.at(10))
    retract(by=cast.manager, entry=scan, reason="The other boat.")
    found = findings_of(cast, closed)
    assert [one.phase for one in found.scans] == ["Sea trial"]
    assert "SPN 100 FMI 1" not in {fault.code for fault in found.faults}


def test_an_engine_removed_since_keeps_its_scans_and_codes(cast, closed):
    remove_engine(by=cast.manager, engine=cast.port, happened_at=story.at(100))
    add_engine(by=cast.manager, vessel=cast.vessel, position="port", maker="Norrland", happened_at=story.at(101))
    found = findings_of(cast, closed)
    assert [engine.position for engine in found.engines] == ["Port", "Starboard"]
    assert [engine.serial for engine in found.engines] == ["NL-20417", "NL-20418"]
    assert {fault.code for fault in found.faults} == {"SPN 110 FMI 0", "SPN 100 FMI 1"}
    assert all(scan.engine == "Port" for scan in found.scans)
    assert "Engine control unit (port)" in {unit.name for unit in found.units}
    assert "No fault code" not in words_of(found)


def test_an_engine_taken_out_on_the_job_is_told_from_the_one_put_in(cast, job):
    remove_engine(by=cast.manager, engine=cast.port, happened_at=story.at(12.5))
    new = add_engine(by=cast.manager, vessel=cast.vessel, position="port", serial="NEW-1", happened_at=story.at(12.6))
    add_unit(by=cast.manager, vessel=cast.vessel, engine=new, happened_at=story.at(12.6))
    found = findings_of(cast, close(job, 13))
    assert {engine.position: engine.serial for engine in found.engines} == {
        "Port": "NEW-1",
        "Port, removed": "NL-20417",
        "Starboard": "NL-20418",
    }
    assert {scan.engine for scan in found.scans} == {"Port, removed"}
    told = {(row.engine, row.unit): row.arrival for row in found.coverage}
    assert told["Port", "Engine control unit (port)"] == "not scanned"
    assert told["Port, removed", "Engine control unit (port, removed)"] == "complete"


def test_what_was_fitted_after_the_job_was_not_there(cast, closed):
    engine = add_engine(by=cast.manager, vessel=cast.vessel, position="generator", happened_at=story.at(50))
    add_unit(by=cast.manager, vessel=cast.vessel, name="Charger", happened_at=story.at(50))
    add_unit(by=cast.manager, vessel=cast.vessel, engine=engine, happened_at=story.at(50))
    found = findings_of(cast, closed)
    assert [engine.position for engine in found.engines] == ["Port", "Starboard"]
    assert len(found.units) == 2


def test_an_engine_of_which_the_job_found_nothing_was_there_all_the_same(cast, job):
    """One that was taken out on the job, and one that nobody entered and that is first written of long after it."""
    center = add_engine(by=cast.manager, vessel=cast.vessel, position="center", happened_at=story.at(1))
    remove_engine(by=cast.manager, engine=center, happened_at=story.at(12))
    gone = add_engine(by=cast.manager, vessel=cast.vessel, position="wing", happened_at=story.at(1))
    remove_engine(by=cast.manager, engine=gone, happened_at=story.at(5))
    generator = Engine.objects.create(vessel=cast.vessel, position="generator")
    HourMeter.objects.create(engine=generator)
    log_hours(by=cast.tech, engine=generator, shown=Decimal(90), happened_at=story.at(200))
    found = {engine.position for engine in findings_of(cast, close(job, 13)).engines}
    assert found == {"Port", "Starboard", "Center, removed", "Generator"}


def test_a_unit_identified_later_was_not_identified_then(cast, closed):
    identify_unit(by=cast.tech, unit=cast.port_unit, software="5.1", happened_at=story.at(5))
    identify_unit(by=cast.tech, unit=cast.port_unit, software="6.0", happened_at=story.at(300))
    assert [unit.software for unit in findings_of(cast, closed).units] == ["5.1", ""]


def test_what_was_not_read_again_keeps_its_day(cast, closed):
    identify_unit(by=cast.tech, unit=cast.port_unit, serial="U-7", software="5.0", happened_at=story.at(1))
    identify_unit(by=cast.tech, unit=cast.port_unit, software="5.1", happened_at=story.at(5))
    found = findings_of(cast, closed)
    assert (found.units[0].serial, found.units[0].software) == ("U-7", "5.1")
    assert found.units[0].identified_at == story.at(5)
    assert "read Apr 6, 2025, serial read Apr 2, 2025" in words_of(found)


def test_names_and_owner_are_those_of_the_job(cast, closed):
    vessel = cast.vessel
    change_vessel(by=cast.manager, vessel=vessel, seen_version=1, changes={"name": "Third Wind"})
    other = Customer.objects.create(name="Ida Farrow")
    vessel.ownerships.update(since=story.at(-100))
    change_owner(by=cast.manager, vessel=vessel, new_owner=other, happened_at=story.at(100))
    engine = cast.port
    engine.propeller = "22 × 24"
    engine.save()
    change_engine(by=cast.manager, engine=engine, seen_version=1, changes={"propeller": "23 × 24"})
    found = findings_of(cast, closed)
    assert found.vessel.name == "Second Wind"
    assert found.vessel.changed_since == ("Name: “Third Wind” today",)
    assert (found.customer.name, found.vessel.owner) == ("Wes Harrow", "Wes Harrow")
    assert found.engines[0].propeller == "22 × 24"
    assert found.engines[0].changed_since == ("Propeller: “23 × 24” today",)


def test_a_serial_number_put_right_since_is_right(cast, closed):
    """What a thing is by nature does not change: a later change of it is a correction."""
    change_engine(by=cast.manager, engine=cast.port, seen_version=1, changes={"serial": "NL-20471"})
    assert findings_of(cast, closed).engines[0].serial == "NL-20471"


def test_an_open_job_is_reported_as_of_now(cast, job):
    story.scan(cast, 14, 790, [story.seen(story.LEAN)])
    found = findings_of(cast, job)
    assert "P0171" in {fault.code for fault in found.faults}
    assert found.engines[0].hours == Decimal(790)
    assert found.job.ended_at is None


def test_what_the_job_itself_logged_late_is_in_it(cast, closed):
    """A finding of the job that happened after its closing belongs to it, and the report's time goes on to it."""
    story.scan(cast, 15, 791, [story.seen(story.LEAN)], job=closed, phase="delivery")
    found = findings_of(cast, closed)
    assert found.scans[-1].seen[0].code == "P0171"
    assert found.engines[0].hours == Decimal(791)


def test_a_correcting_note_on_an_hour_entry_leaves_its_hours(cast, closed):
    entry = log_hours(by=cast.tech, engine=cast.starboard, shown=Decimal(801), happened_at=story.at(12.5))
    amend_text(by=cast.tech, entry=entry, text="Read by the owner.")
    found = {engine.position: engine.hours for engine in findings_of(cast, closed).engines}
    assert found["Starboard"] == Decimal(801)


# What was looked at, and what was not.


def coverage(found: Findings) -> dict[tuple[str, str], tuple[str, str, int]]:
    return {(row.engine, row.unit): (row.arrival, row.after, row.readings) for row in found.coverage}


def test_coverage_names_each_engine_and_unit_with_what_was_done(cast, job):
    assert coverage(findings_of(cast, job)) == {
        ("Port", ""): ("", "", 1),
        ("Port", "Engine control unit (port)"): ("complete", "complete", 0),
        ("Starboard", ""): ("", "", 1),
        ("Starboard", "Engine control unit (starboard)"): ("not scanned", "", 0),
    }


def test_nothing_open_is_said_only_of_what_was_scanned(cast):
    job = story.open_job(cast)
    found = findings_of(cast, job)
    figures = {
        figure.label: figure.value for figure in paper_of(Record(format=FORMAT, issue=None, findings=found)).figures
    }
    assert figures["codes open where scanned"] == "not scanned"
    words = words_of(found)
    assert "no unit was scanned" in words.lower()
    assert words.count("not scanned</p>") == 4
    assert "no code listed" not in words


def test_a_complete_scan_without_codes_says_so_of_its_unit_alone(cast):
    job = story.open_job(cast)
    story.scan(cast, 1, 700, [], job=job)
    words = words_of(findings_of(cast, job))
    assert "Engine control unit (port), Apr 2, 2025, 700 h: no code listed" in words
    assert "Engine control unit (starboard): not scanned" in words


def test_a_partial_scan_says_nothing_of_other_codes(cast):
    job = story.open_job(cast)
    story.scan(cast, 1, 700, [story.seen(story.OIL)], job=job, complete=False)
    found = findings_of(cast, job)
    assert coverage(found)["Port", "Engine control unit (port)"][:2] == ("partial", "")
    words = words_of(found)
    assert "no code listed" not in words
    assert "partial scan" in words


def test_a_scan_before_the_last_work_does_not_count_as_after(cast):
    job = story.open_job(cast)
    story.scan(cast, 1, 700, [story.seen(story.COOLANT)], job=job)
    story.scan(cast, 2, 701, [], job=job, phase="sea-trial")
    story.work(cast, 3, 701, [story.fault(story.COOLANT)], job=job)
    assert coverage(findings_of(cast, job))["Port", "Engine control unit (port)"][:2] == ("complete", "not scanned")


def test_page_one_names_codes_open_and_readings_out_on_arrival_and_after(cast, job):
    pressure = Parameter.objects.get(name="Oil pressure")
    limit = pressure.limits.get()
    log_reading(
        by=cast.tech,
        vessel=cast.vessel,
        engine=cast.port,
        parameter=pressure,
        value=Decimal("30"),
        unit="psi",
        limit=limit,
        condition="warm, 2000 rpm",
        phase="arrival",
        job=job,
        happened_at=story.at(10),
    )
    story.scan(cast, 12.5, 789, [story.seen(story.Code(CodeSystem.SPN, "94-18"))], job=job, phase="delivery")
    paper = paper_of(Record(format=FORMAT, issue=None, findings=findings_of(cast, job)))
    arrival, after = paper.standing
    port = "Engine control unit (port)"
    assert arrival.codes == [f"{port}, Apr 11, 2025, 786 h: SPN 110 FMI 0 active; SPN 100 FMI 1 stored"]
    assert arrival.out == ["Oil pressure, port: 30 psi, limits 40 to 65 psi"]
    assert after.codes == [f"{port}, Apr 13, 2025, 789 h: SPN 94 FMI 18 active"]
    assert after.out == ["Oil pressure, starboard: 38 psi, limits 40 to 65 psi"]
    assert arrival.not_scanned == ["Engine control unit (starboard)"]


def test_codes_open_by_earlier_scans_of_what_was_not_scanned_now_are_named_apart(cast, job):
    story.scan(cast, 2, 650, [story.seen(story.LEAN)], unit=cast.starboard_unit)
    paper = paper_of(Record(format=FORMAT, issue=None, findings=findings_of(cast, job)))
    assert paper.open_before == ["Engine control unit (starboard): P0171 (last seen at 650 h)"]
    figures = {figure.label: figure.value for figure in paper.figures}
    assert figures["codes open where scanned"] == "0"


def test_a_report_without_readings_does_not_say_that_none_is_out(cast):
    job = story.open_job(cast)
    story.scan(cast, 1, 700, [], job=job)
    figures = {
        figure.label: figure.value
        for figure in paper_of(Record(format=FORMAT, issue=None, findings=findings_of(cast, job))).figures
    }
    assert figures["readings out of limits"] == "none taken"
    assert figures["codes open where scanned"] == "0"


# What was in the boat, and what was done to its codes.


def unit_names(cast, job) -> set[str]:
    return {unit.name for unit in findings_of(cast, job).units}


def test_a_unit_removed_before_the_job_is_not_in_its_report(cast, job):
    gateway = add_unit(by=cast.manager, vessel=cast.vessel, name="Gateway", happened_at=story.at(1))
    remove_unit(by=cast.manager, unit=gateway, happened_at=story.at(5))
    assert not [name for name in unit_names(cast, close(job, 13)) if name.startswith("Gateway")]


def test_a_unit_removed_on_the_job_is_in_its_report(cast, job):
    gateway = add_unit(by=cast.manager, vessel=cast.vessel, name="Gateway", happened_at=story.at(1))
    remove_unit(by=cast.manager, unit=gateway, happened_at=story.at(10))
    assert "Gateway, removed" in unit_names(cast, close(job, 13))


def test_a_code_of_a_unit_that_was_removed_is_not_open_on_the_boat(cast):
    job = story.open_job(cast)
    story.scan(cast, 1, 700, [story.seen(story.COOLANT)], job=job)
    assert {one.label: one.value for one in figures_of(findings_of(cast, job))}["code open where scanned"] == "1"
    remove_unit(by=cast.manager, unit=cast.port_unit, happened_at=story.at(2))
    add_unit(by=cast.manager, vessel=cast.vessel, engine=cast.port, happened_at=story.at(2))
    findings = findings_of(cast, job)
    figures = {one.label: one.value for one in figures_of(findings)}
    assert figures["codes open where scanned, 1 in a removed unit"] == "0"
    assert not [said for said in gaps(findings, job) if "is open" in said]
    arrival, _ = stands(findings)
    assert arrival.codes == ["Engine control unit (port), removed, Apr 2, 2025, 700 h: SPN 110 FMI 0 active"]
    assert "Engine control unit (port)" in arrival.not_scanned


def test_a_unit_removed_after_the_job_was_there(cast, job):
    gateway = add_unit(by=cast.manager, vessel=cast.vessel, name="Gateway", happened_at=story.at(1))
    remove_unit(by=cast.manager, unit=gateway, happened_at=story.at(300))
    assert "Gateway" in unit_names(cast, close(job, 13))


@pytest.mark.parametrize("removed", [9, 12])
def test_the_unit_that_took_the_place_of_another_does_not_hide_what_was_on_that(cast, removed):
    """A code that came back on the old unit is not new because the unit is."""
    story.scan(cast, 0, 700, [story.seen(story.COOLANT)])
    story.clear(cast, 1, 702)
    story.scan(cast, 5, 750, [story.seen(story.COOLANT)])
    job = story.open_job(cast, day=10)
    remove_unit(by=cast.manager, unit=cast.port_unit, happened_at=story.at(removed))
    new = add_unit(by=cast.manager, vessel=cast.vessel, engine=cast.port, happened_at=story.at(12.1))
    story.scan(cast, 12.2, 760, [story.seen(story.COOLANT), story.seen(story.OIL)], unit=new, job=job)
    found = findings_of(cast, close(job, 13))
    told = {(one.unit, one.code): one.says for one in found.faults}
    name = "Engine control unit (port)"
    said = f"The same code is on record of {name}, removed as well, with a history of its own."
    assert told[name, "SPN 110 FMI 0"].endswith(said)
    assert "The same code" not in told[name, "SPN 100 FMI 1"]
    old = told.get((f"{name}, removed", "SPN 110 FMI 0"))
    assert (old is None) == (removed == 9)
    assert old is None or old.endswith(f"The same code is on record of {name} as well, with a history of its own.")


def test_a_unit_that_the_job_scanned_is_in_its_report_whenever_it_was_removed(cast, job):
    """Scanned at the dock, exchanged, and only then taken in: the scan has to be about something."""
    gateway = add_unit(by=cast.manager, vessel=cast.vessel, name="Gateway", happened_at=story.at(1))
    story.scan(cast, 5, None, [story.seen(story.LEAN)], unit=gateway, job=job)
    remove_unit(by=cast.manager, unit=gateway, happened_at=story.at(6))
    found = findings_of(cast, close(job, 13))
    assert "Gateway, removed" in {unit.name for unit in found.units}
    assert "P0171" in {fault.code for fault in found.faults if fault.unit == "Gateway, removed"}


def test_a_unit_that_was_entered_after_the_job_is_in_its_report_where_the_job_scanned_or_cleared_it(cast, job):
    """Scanned at the dock, and entered as fitted on the wrong day: what was found on it is not lost."""
    scanned = add_unit(by=cast.manager, vessel=cast.vessel, name="Gateway", happened_at=story.at(50))
    cleared = add_unit(by=cast.manager, vessel=cast.vessel, name="Gauge", happened_at=story.at(50))
    add_unit(by=cast.manager, vessel=cast.vessel, name="Charger", happened_at=story.at(50))
    story.scan(cast, 12, None, [story.seen(story.LEAN)], unit=scanned, job=job)
    story.clear(cast, 12, None, unit=cleared, job=job)
    names = unit_names(cast, close(job, 13))
    assert {"Gateway", "Gauge"} <= set(names)
    assert "Charger" not in names


def test_a_code_that_the_job_only_cleared_is_one_of_the_job(cast):
    """Nobody scanned it and nobody repaired it; wiping it out is what the job did to it, and the report says so."""
    story.scan(cast, 0, 700, [story.seen(story.COOLANT)])
    story.scan(cast, 0, 700, [story.seen(story.LEAN)], unit=cast.starboard_unit)
    job = story.open_job(cast, day=10)
    story.clear(cast, 11, 702, job=job)
    found = {fault.code: fault.in_this_job for fault in findings_of(cast, close(job, 13)).faults}
    assert found == {"SPN 110 FMI 0": True, "P0171": False}
