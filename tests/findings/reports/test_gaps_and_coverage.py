"""What a reader of a report would ask about, and what was looked at, judged on records alone."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from engineering.measures import show
from findings.reports.coverage import UnitCoverage, coverage_of, last_work, look_after, look_on_arrival, scanned_units
from findings.reports.gaps import gaps
from findings.reports.listed import turns_of
from findings.reports.page_one import figures_of, stands
from findings.reports.record import (
    ClearFacts,
    Findings,
    ReadingFacts,
    Recommendation,
    ScanFacts,
    SeenFacts,
    WorkFacts,
    WorkingFacts,
)
from tests.findings.reports import sample
from workorders.models import Job

PORT, STARBOARD = "Engine control unit (port)", "Engine control unit (starboard)"
READY = Job(state="ready")


def all_said(**changes: object) -> Findings:
    """The plain record with its second line written out, nothing open or out, and whatever else is changed."""
    found = sample.findings()
    kept = {
        "faults": tuple(one for one in found.faults if not one.is_open),
        "readings": tuple(one for one in found.readings if one.verdict != "out"),
        "settings": (),
    }
    first, second = found.lines
    done = {"done_by": ("Tomas Reef",), "done_on": sample.at(59).date()}
    lines = (
        replace(first, **done),
        replace(second, cause="Bolt loose.", correction="Bolt tightened.", **done),
    )
    return replace(found, lines=lines, **(kept | changes))


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


UNPROVEN = (
    "Work was logged, but no complete scan on this job after it: nothing on this job shows yet that the codes stayed "
    "away."
)


@pytest.mark.parametrize(
    ("scans", "works", "is_unproven"),
    [
        ([scan(60)], [work(59)], False),
        ([scan(59)], [work(59)], False),  # the scan that proves it is taken when the work is done
        ([scan(59, seen("SPN 100 FMI 4"))], [work(59)], True),  # what lists codes in that minute gave reason for it
        ([scan(59, seen("SPN 100 FMI 4")), scan(60)], [work(59)], False),
        ([scan(58)], [work(59)], True),
        ([scan(60, is_complete=False)], [work(59)], True),
        ([scan(60, tells_codes=False)], [work(59)], True),  # status bits tell nothing of codes
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


def test_a_complete_scan_of_one_engine_proves_nothing_of_the_other() -> None:
    both = [replace(work(59), units=("ECU port",)), replace(work(59), units=("ECU starboard",))]
    scans = (replace(scan(60), unit="ECU starboard"), replace(scan(60, is_complete=False), unit="ECU port"))
    assert gaps(all_said(scans=scans, work=tuple(both)), READY) == [
        "Work was logged about codes of ECU port, but no complete scan of it on this job since: nothing on this job "
        "shows yet that those codes stayed away."
    ]
    proven = (*scans, replace(scan(61), unit="ECU port"))
    assert gaps(all_said(scans=proven, work=tuple(both)), READY) == []


def clear(day: float, unit: str = PORT, *, job: str = "", codes: tuple[str, ...] = ()) -> ClearFacts:
    number = job or sample.findings().job.number
    return ClearFacts(
        at=sample.at(day), hours=None, unit=unit, engine="Port", codes=codes, job=number, by="Tomas Reef", text=""
    )


def cleared_unproven(units: str, it: str = "it") -> str:
    return (
        f"Codes of {units} were cleared, but no complete scan of {it} on this job since: nothing on this job shows yet "
        "that those codes stayed away."
    )


@pytest.mark.parametrize(
    ("scans", "works", "clears", "says"),
    [
        # the instrument's own scan before the clear proves nothing of what the clear did
        ([scan(60, seen("SPN 100 FMI 4", "stored"))], [work(59)], [clear(61)], [cleared_unproven(PORT)]),
        ([scan(60)], [work(59)], [clear(61)], [cleared_unproven(PORT)]),
        ([scan(60), scan(62)], [work(59)], [clear(61)], []),
        ([scan(60), scan(62, is_complete=False)], [work(59)], [clear(61)], [cleared_unproven(PORT)]),
        ([scan(60), scan(62, tells_codes=False)], [work(59)], [clear(61)], [cleared_unproven(PORT)]),
        # told to the minute: what lists codes was read before the clear, what lists none after it
        ([scan(61, seen("SPN 100 FMI 4"))], [], [clear(61)], [cleared_unproven(PORT)]),
        ([scan(61)], [], [clear(61)], []),
        # a clear alone, of some codes too
        ([scan(58, seen("SPN 100 FMI 4"))], [], [clear(59, codes=("SPN 100 FMI 4",))], [cleared_unproven(PORT)]),
        # the last of two clears counts
        ([scan(60)], [], [clear(59), clear(61)], [cleared_unproven(PORT)]),
        # another job's clear is that job's
        ([scan(58)], [], [clear(61, job="9")], []),
        # one unit scanned since, the other not, or neither
        ([scan(62)], [], [clear(61), clear(61, STARBOARD)], [cleared_unproven(STARBOARD)]),
        ([scan(58)], [], [clear(61), clear(61, STARBOARD)], [cleared_unproven(f"{PORT} and {STARBOARD}", "them")]),
        # nobody can scan what is no longer aboard
        ([scan(58)], [], [clear(61, "Engine control unit, removed")], []),
        # cleared first, worked on last: the work is what wants a proof
        ([scan(58)], [work(62)], [clear(61)], [UNPROVEN]),
        # no scan at all after the work is said once
        ([scan(58)], [work(59)], [clear(61)], [UNPROVEN]),
        ([], [], [clear(61)], ["No scan was logged on this job."]),
    ],
)
def test_a_clear_needs_a_complete_scan_of_its_unit_after_it(
    scans: list[ScanFacts], works: list[WorkFacts], clears: list[ClearFacts], says: list[str]
) -> None:
    assert gaps(all_said(scans=tuple(scans), work=tuple(works), clears=tuple(clears)), READY) == says


def test_work_on_one_engine_and_a_clear_on_the_other_are_each_said() -> None:
    found = all_said(scans=(scan(60, unit="ECU center"),), work=(work(59),), clears=(clear(59, STARBOARD),))
    assert gaps(found, READY) == [
        f"Work was logged about codes of {PORT}, but no complete scan of it on this job since: nothing on this job "
        "shows yet that those codes stayed away.",
        cleared_unproven(STARBOARD),
    ]


OPEN_CODES = sample.findings().faults
URGED = sample.findings().recommendations


def urged(*texts: str) -> tuple[Recommendation, ...]:
    return tuple(Recommendation(urgency="soon", text=text) for text in texts)


@pytest.mark.parametrize(
    ("recommendations", "says"),
    [
        ((), ["SPN 110 FMI 0, SPN 168 FMI 18 are open, and nothing is recommended."]),
        # one about something else silences nothing
        (urged("Anodes: replace."), ["SPN 110 FMI 0, SPN 168 FMI 18 are open, and no recommendation names them."]),
        (URGED, ["SPN 110 FMI 0, SPN 168 FMI 18 are open, and no recommendation names them."]),
        (
            urged("Watch SPN 168/FMI 18."),
            [
                "SPN 110 FMI 0 is open, and no recommendation names it.",
                "SPN 168 FMI 18 is open; a recommendation names it.",
            ],
        ),
        # another code that begins alike is another code
        (
            urged("SPN 1100 FMI 0 and SPN 110 FMI 01 and SPN 168 FMI 1"),
            ["SPN 110 FMI 0, SPN 168 FMI 18 are open, and no recommendation names them."],
        ),
        (
            urged("spn 110 fmi 0: find out why.", "SPN 168\nFMI 18, later"),
            ["SPN 110 FMI 0, SPN 168 FMI 18 are open; a recommendation names them."],
        ),
    ],
)
def test_open_codes_are_always_said(recommendations: tuple[Recommendation, ...], says: list[str]) -> None:
    assert gaps(all_said(faults=OPEN_CODES, recommendations=recommendations), READY) == says


def test_codes_open_from_before_are_said_apart() -> None:
    earlier = tuple(replace(one, in_this_job=False) for one in OPEN_CODES)
    assert gaps(all_said(faults=earlier), READY) == [
        "SPN 110 FMI 0, SPN 168 FMI 18 are open by scans that are not of this job, and no recommendation names them."
    ]
    unfixed = (replace(OPEN_CODES[0], state="not fixed yet"),)
    assert gaps(all_said(faults=unfixed), READY) == ["SPN 110 FMI 0 is open, and no recommendation names it."]


def test_a_parameter_out_of_range_is_said_once_whatever_is_recommended() -> None:
    out = sample.findings().readings[1]
    several = (out, out, replace(out, parameter="Boost pressure"))
    assert gaps(all_said(readings=several, recommendations=()), READY) == [
        "Boost pressure, Fuel pressure read out of range, and nothing is recommended."
    ]
    assert gaps(all_said(readings=several), READY) == [
        "Boost pressure read out of range, and no recommendation names it.",
        "Fuel pressure read out of range; a recommendation names it.",
    ]


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
    assert look_after(PORT, scans, []) == UnitCoverage(PORT, "complete", (seen("C"), seen("D")))
    partial = [replace(one, is_complete=False) for one in scans]
    assert look_after(PORT, partial, []) == UnitCoverage(
        PORT, "partial", (seen("A"), seen("B", "stored"), seen("C"), seen("D"))
    )
    assert look_after(PORT, [], []) == UnitCoverage(PORT, "not scanned", ())


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
    assert look_after(PORT, scans, [work(3)]) == UnitCoverage(PORT, "complete", ())
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
        turns = turns_of(units, [work(59)], (), "")  # type: ignore[arg-type]
        told = coverage_of(found.engines, units, found.scans, readings, turns)  # type: ignore[arg-type]
        return [(row.engine, row.unit, row.arrival, row.after, row.readings) for row in told]

    engines = [
        ("Port", "", "", "", 2),
        ("Port", PORT, "complete", "complete", 0),
        ("Starboard", "", "", "", 2),
        ("Starboard", STARBOARD, "not scanned", "", 0),
    ]
    assert rows(found.units, found.readings) == engines
    assert rows((*found.units, gateway), found.readings) == [
        *engines,
        ("", "Gateway", "not scanned", "", 0),
    ]
    assert rows(found.units, (*found.readings, hull)) == [*engines, ("", "", "", "", 1)]


def test_a_day_late_is_not_the_same_instant() -> None:
    late = work(59)
    assert last_work(PORT, [late, replace(late, at=late.at - timedelta(microseconds=1))]) == late.at


def calculated(parameter: str = "Oil pressure", verdict: str = "in range") -> ReadingFacts:
    one = sample.findings().readings[0]
    working = WorkingFacts(title="A tool", inputs=(), outcome="So much.", formula="a + b", source="a book")
    return replace(one, parameter=parameter, verdict=verdict, working=working, phase="Sea trial", engine="Port")


def test_a_calculated_value_makes_no_engine_measured() -> None:
    engines = sample.findings().engines
    row = next(one for one in coverage_of(engines, (), (), [calculated()], {}) if one.engine == "Port")
    assert (row.readings, row.calculated) == (0, 1)
    measured = replace(calculated(), working=None)
    row = next(one for one in coverage_of(engines, (), (), [calculated(), measured], {}) if one.engine == "Port")
    assert (row.readings, row.calculated) == (1, 1)


def unjudged(why: str = "the table does not reach there") -> ReadingFacts:
    one = calculated(verdict="no limits known")
    return replace(one, says=f"{show(one.value, one.unit)}, not judged: {why}")


def unlimited() -> ReadingFacts:
    return replace(calculated(verdict="no limits known"), working=None)


@pytest.mark.parametrize(
    ("readings", "says", "figure"),
    [
        ([], "nothing was measured", "none taken"),
        ([calculated()], "nothing was measured; none of 1 with limits; 1 of the values calculated", "0"),
        (
            [calculated(verdict="no limits known")],
            "nothing was measured; 1 calculated value, no limits known",
            "no limits known",
        ),
        ([calculated(verdict="out")], "nothing was measured; 1 of the values calculated", "1"),
        ([replace(calculated(), working=None)], "none of 1 with limits", "0"),
        ([calculated(), replace(calculated(), working=None)], "none of 2 with limits; 1 of the values calculated", "0"),
        ([replace(calculated(), working=None, verdict="out")], "", "1"),
        ([unlimited(), unlimited()], "2 readings, no limits known", "no limits known"),
        (
            [unjudged()],
            "nothing was measured; 1 calculated value, not judged: the table does not reach there",
            "not judged",
        ),
        (
            [unjudged(), unjudged("bubbles in the coolant")],
            "nothing was measured; 2 calculated values, not judged, why stands under Readings",
            "not judged",
        ),
        (
            [unjudged(), unlimited()],
            "1 reading and 1 calculated value; no limits known for 1; 1 not judged: the table does not reach there",
            "none judged",
        ),
        (
            [unjudged(), replace(calculated(), working=None)],
            "none of 1 with limits; 1 of the values calculated; 1 not judged: the table does not reach there",
            "0",
        ),
        (
            [unjudged(), replace(calculated(), working=None, verdict="out")],
            "1 of the values calculated; 1 not judged: the table does not reach there",
            "1",
        ),
    ],
)
def test_page_one_tells_calculated_from_measured_and_unjudged_from_without_limits(
    readings: list[ReadingFacts], says: str, figure: str
) -> None:
    found = replace(sample.findings(), readings=tuple(readings))
    _, after = stands(found)
    assert after.none_out == says
    told = figures_of(found)[2]
    assert told.value == figure
    assert ("1 not judged" in told.label) == (figure in {"0", "1"} and "1 not judged" in says)


def of_instruments(verdict: str = "in range") -> ReadingFacts:
    one = calculated(verdict=verdict)
    assert one.working is not None
    return replace(one, working=replace(one.working, is_measured=True))


def test_what_was_worked_out_of_gauges_counts_as_measured() -> None:
    rows = coverage_of(sample.findings().engines, (), (), [calculated(), of_instruments()], {})
    row = next(one for one in rows if one.engine == "Port")
    assert (row.readings, row.calculated) == (1, 1)
    _, after = stands(replace(sample.findings(), readings=(of_instruments("out"),)))
    assert "calculated" not in after.out[0]


def test_an_out_value_without_limits_says_why() -> None:
    one = replace(calculated(verdict="out"), low=None, high=None)
    _, after = stands(replace(sample.findings(), readings=(one,)))
    assert after.out[0].endswith(": So much.")


def test_an_out_value_that_was_calculated_says_so() -> None:
    _, after = stands(replace(sample.findings(), readings=(calculated(verdict="out"),)))
    assert after.out[0].startswith("Oil pressure, port: calculated ")
    labels = [one.label for one in figures_of(replace(sample.findings(), readings=(calculated(verdict="out"),)))]
    assert "measured or calculated value out of limits" in labels
