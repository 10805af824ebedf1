"""What a reader of a report would ask about, and what was looked at, judged on records alone."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from findings.reports.coverage import Look, coverage_of, last_work, look_after, look_on_arrival, scanned_units
from findings.reports.gaps import gaps
from findings.reports.record import Findings, ScanFacts, SeenFacts, WorkFacts
from tests.findings.reports import sample
from workorders.models import Job

PORT, STARBOARD = "Engine control unit (port)", "Engine control unit (starboard)"
READY = Job(state="ready")


def all_said(**changes: object) -> Findings:
    """The plain record with its second line written out, and whatever else is changed."""
    found = sample.findings()
    first, second = found.lines
    done = {"done_by": ("Tomas Reef",), "done_on": sample.at(59).date()}
    lines = (
        replace(first, **done),
        replace(second, cause="Bolt loose.", correction="Bolt tightened.", **done),
    )
    return replace(found, lines=lines, **changes)


def seen(code: str, status: str = "active") -> SeenFacts:
    return SeenFacts(code=code, status=status, count=None)


def scan(day: float, *codes: SeenFacts, phase: str = "Sea trial", unit: str = PORT, **more: object) -> ScanFacts:
    plain = sample.findings().scans[0]
    facts = {"at": sample.at(day), "phase": phase, "unit": unit, "is_complete": True, "seen": codes}
    return replace(plain, **(facts | more))


def work(day: float, unit: str = PORT, codes: tuple[str, ...] = ("SPN 100 FMI 4",)) -> WorkFacts:
    return replace(sample.findings().work[0], at=sample.at(day), units=(unit,), codes=codes)


def test_a_record_with_everything_said_has_no_gap() -> None:
    assert gaps(all_said(), READY) == []


@pytest.mark.parametrize(
    ("state", "says"),
    [
        ("ready", []),
        ("closed", []),
        ("in-work", ["The job is not finished: its state is “in work”."]),
        ("canceled", ["The job is not finished: its state is “canceled”."]),
    ],
)
def test_only_ready_and_closed_are_finished(state: str, says: list[str]) -> None:
    assert gaps(all_said(), Job(state=state)) == says


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"cause": " "}, ["“Knocks.” has no cause yet."]),
        ({"correction": ""}, ["“Knocks.” has no correction yet."]),
        ({"cause": "", "correction": ""}, ["“Knocks.” has no cause and no correction yet."]),
        ({"done_by": ()}, ["“Knocks.” does not say by whom the correction was made."]),
        ({"done_on": None}, ["“Knocks.” does not say when the correction was made."]),
        ({"done_by": (), "done_on": None}, ["“Knocks.” does not say by whom and when the correction was made."]),
        ({"correction": "", "done_by": (), "done_on": None}, ["“Knocks.” has no correction yet."]),
    ],
)
def test_each_line_says_what_it_lacks(changes: dict[str, object], says: list[str]) -> None:
    found = all_said()
    line = replace(found.lines[0], concern="Knocks.", **changes)
    assert gaps(replace(found, lines=(line,)), READY) == says


@pytest.mark.parametrize(("length", "shown"), [(60, "x" * 60), (61, "x" * 59 + "…")])
def test_a_long_concern_is_cut_at_sixty_signs(length: int, shown: str) -> None:
    found = all_said()
    line = replace(found.lines[0], concern="x" * length, cause="")
    assert gaps(replace(found, lines=(line,)), READY) == [f"“{shown}” has no cause yet."]


def test_without_a_scan_that_alone_is_said_of_codes() -> None:
    assert gaps(all_said(scans=()), READY) == ["No scan was logged on this job."]


UNPROVEN = "Work was logged, but no complete scan after it: nothing shows yet that the codes stayed away."


@pytest.mark.parametrize(
    ("scans", "works", "is_unproven"),
    [
        ([scan(60)], [work(59)], False),
        ([scan(59)], [work(59)], False),  # the scan that proves it is taken when the work is done
        ([scan(58)], [work(59)], True),
        ([scan(60, is_complete=False)], [work(59)], True),
        ([scan(60)], [work(59), work(61)], True),
        ([scan(58)], [work(59, codes=())], False),  # an oil change proves nothing and needs no proof
        ([scan(58)], [], False),
    ],
)
def test_work_about_codes_needs_a_complete_scan_after_it(
    scans: list[ScanFacts], works: list[WorkFacts], is_unproven: bool
) -> None:
    said = gaps(all_said(scans=tuple(scans), work=tuple(works)), READY)
    assert said == ([UNPROVEN] if is_unproven else [])


def test_open_codes_of_the_job_without_a_recommendation_are_named() -> None:
    found = all_said(recommendations=())
    one = replace(found, faults=(found.faults[2],), readings=())
    assert gaps(one, READY) == ["SPN 168 FMI 18 is open, and nothing is recommended."]
    several = replace(found, readings=())
    assert gaps(several, READY) == ["SPN 110 FMI 0, SPN 168 FMI 18 are open, and nothing is recommended."]
    earlier = tuple(replace(one, in_this_job=False) for one in found.faults)
    assert gaps(replace(several, faults=earlier), READY) == []
    active = (replace(found.faults[0], state="active"),)
    assert gaps(replace(several, faults=active), READY) == ["SPN 110 FMI 0 is open, and nothing is recommended."]


def test_a_parameter_out_of_range_is_named_once_and_only_without_a_recommendation() -> None:
    found = all_said(recommendations=(), faults=())
    out = found.readings[1]
    several = (out, out, replace(out, parameter="Boost pressure"))
    assert gaps(replace(found, readings=several), READY) == [
        "Boost pressure, Fuel pressure read out of range, and nothing is recommended."
    ]
    assert gaps(all_said(faults=(), readings=several), READY) == []


def test_an_engine_without_hours_is_named() -> None:
    found = all_said()
    engines = (found.engines[0], replace(found.engines[1], hours=None))
    assert gaps(replace(found, engines=engines), READY) == ["Starboard: no engine hours are on record."]


def test_the_last_complete_scan_counts_with_the_partial_ones_after_it() -> None:
    """A code that an earlier complete scan listed and the last one did not is gone; a partial scan adds what it saw."""
    scans = [
        scan(1, seen("A")),
        scan(2, seen("B", "stored"), is_complete=False),
        scan(3, seen("C")),
        scan(4, seen("D"), is_complete=False),
    ]
    assert look_after(PORT, scans, []) == Look(PORT, "complete", (seen("C"), seen("D")))
    partial = [replace(one, is_complete=False) for one in scans]
    assert look_after(PORT, partial, []) == Look(
        PORT, "partial", (seen("A"), seen("B", "stored"), seen("C"), seen("D"))
    )
    assert look_after(PORT, [], []) == Look(PORT, "not scanned", ())


def test_a_code_with_two_statuses_is_seen_twice_and_with_one_once() -> None:
    scans = [scan(1, seen("A"), seen("A", "permanent")), scan(2, seen("A"), is_complete=False)]
    assert look_after(PORT, scans, []).seen == (seen("A"), seen("A", "permanent"))


def test_on_arrival_and_after_never_share_a_scan() -> None:
    scans = [scan(1, seen("A"), phase="On arrival"), scan(2, seen("B")), scan(2, seen("C"), unit=STARBOARD)]
    assert look_on_arrival(PORT, scans).seen == (seen("A"),)
    assert look_after(PORT, scans, []).seen == (seen("B"),)
    assert look_on_arrival(STARBOARD, scans).extent == "not scanned"


def test_after_is_after_the_last_work_on_that_unit_its_instant_among_it() -> None:
    scans = [scan(2, seen("B")), scan(3)]
    assert look_after(PORT, scans, [work(3)]) == Look(PORT, "complete", ())
    assert look_after(PORT, scans, [work(3.1)]).extent == "not scanned"
    assert look_after(PORT, scans[:1], [work(3, STARBOARD)]).seen == (seen("B"),)
    assert last_work(PORT, [work(5), work(3), work(7, STARBOARD)]) == sample.at(5)
    assert last_work(PORT, [work(7, STARBOARD)]) is None


def test_status_bits_of_a_log_are_no_scan_of_codes() -> None:
    bits = scan(1, seen("Water in fuel"), tells_codes=False)
    assert look_after(PORT, [bits], []).extent == "not scanned"
    found = replace(sample.findings(), scans=(bits, scan(2, unit=STARBOARD)))
    assert scanned_units(found) == {STARBOARD}


def test_coverage_lists_engines_in_order_then_the_boat_where_something_of_it_was_looked_at() -> None:
    found = sample.findings()
    gateway = replace(found.units[0], name="Gateway", engine="")
    hull = replace(found.readings[0], engine="")

    def rows(units: tuple[object, ...], readings: tuple[object, ...]) -> list[tuple[str, str, str, str, int]]:
        told = coverage_of(found.engines, units, found.scans, readings, [work(59)])  # type: ignore[arg-type]
        return [(row.engine, row.unit, row.arrival, row.after, row.readings) for row in told]

    engines = [
        ("Port", "", "", "", 2),
        ("Port", PORT, "complete", "complete", 0),
        ("Starboard", "", "", "", 2),
        ("Starboard", STARBOARD, "not scanned", "not scanned", 0),
    ]
    assert rows(found.units, found.readings) == engines
    assert rows((*found.units, gateway), found.readings) == [
        *engines,
        ("", "Gateway", "not scanned", "not scanned", 0),
    ]
    assert rows(found.units, (*found.readings, hull)) == [*engines, ("", "", "", "", 1)]


def test_a_day_late_is_not_the_same_instant() -> None:
    late = work(59)
    assert last_work(PORT, [late, replace(late, at=late.at - timedelta(microseconds=1))]) == late.at
