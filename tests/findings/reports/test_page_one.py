"""The numbers at the top of a report."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from files.paper.drawing import Stationery
from findings.reports.amounts import extremes_words, judged_by
from findings.reports.differences import _reading_words
from findings.reports.gaps import _of_readings
from findings.reports.lanes import lanes_pictures
from findings.reports.page_one import figures_of, stands
from findings.reports.reading_tables import engine_readings
from findings.reports.record import FORMAT, WORDING, Record
from findings.reports.render import paper_html
from tests.findings.reports import sample


def returned(findings) -> str:
    return next(figure.value for figure in figures_of(findings) if figure.label == "returned, of those open")


@pytest.mark.parametrize(("not_fixed_yet", "counted"), [(False, 1), (True, 0)])
def test_what_is_back_on_the_job_that_was_to_mend_it_is_not_counted_as_returned(not_fixed_yet, counted):
    findings = sample.record().findings
    others = [one for one in findings.faults if one.state != "returned"]
    back = next(one for one in findings.faults if one.state == "returned")
    last = replace(back.episodes[-1], not_fixed_yet=not_fixed_yet)
    state = "not fixed yet" if not_fixed_yet else "returned"
    back = replace(back, state=state, unit=findings.scans[0].unit, episodes=(*back.episodes[:-1], last))
    assert returned(replace(findings, faults=(*others, back))) == str(counted)


def by_its_lowest():
    says = "60 psi, lowest 20 psi, below 44 psi"
    reading = sample.reading("Oil pressure", "60", "out", says, low="44", high="73")
    reading = replace(reading, minimum=Decimal(20), maximum=Decimal(61))
    return replace(sample.record().findings, readings=(reading,))


def test_a_reading_that_is_out_by_its_lowest_says_so_wherever_the_report_tells_it():
    findings = by_its_lowest()
    (told,) = stands(findings)[1].out
    assert told == "Oil pressure, port: 60 psi, lowest 20 psi, limits 44 to 73 psi"
    (group,) = engine_readings(findings.readings, "us")
    (row,) = group.drawn
    assert row.says == "lowest 20 psi, below 44 psi"
    assert "out by its lowest" in row.strip
    assert "lowest 20 psi, highest 61 psi" in row.strip
    assert _reading_words(findings.readings[0]) == "Oil pressure, port, sea trial: 60 psi, out by its lowest"
    assert next(one for one in _of_readings(findings) if "Oil pressure" in one).startswith(
        "Oil pressure is out of range by the lowest or highest value alone, and "
    )


def test_the_extremes_of_a_log_are_told_as_those_of_the_whole_log():
    reading = sample.reading("Coolant temperature", "60", "in range", "60 psi, in range")
    read = replace(reading, file_sha256="a" * 64)
    assert extremes_words(read) == "between 58 and 63 psi over the whole log"
    assert extremes_words(replace(read, is_correction=True)) == "between 58 and 63 psi"
    still = replace(read, minimum=Decimal(60), maximum=Decimal("60.0"))
    assert extremes_words(still) == "the same over the whole log"
    assert extremes_words(replace(still, file_sha256="")) == "the same all the time"
    assert extremes_words(replace(still, value=Decimal(59))) == "between 60 and 60 psi over the whole log"


def test_words_of_records_signed_before_are_still_understood():
    reading = sample.reading("Fuel pressure", "50", "out", "at its lowest 36 psi, 4 psi below the band")
    assert judged_by(reading) == ("lowest",)
    assert judged_by(sample.reading("Fuel pressure", "38", "out", "38 psi, 2 psi below the band")) == ()


def test_what_a_tool_left_unjudged_is_not_told_as_without_limits():
    says = "60 psi, not judged: the table does not reach there"
    reading = replace(sample.reading("Oil pressure", "60", "no limits known", says), low=None, high=None)
    assert _reading_words(reading).endswith(": 60 psi, not judged")
    (group,) = engine_readings([reading], "us")
    assert group.sittings[0].rows[0].is_left_unjudged
    plain = sample.reading("Oil pressure", "60", "no limits known", "60 psi, no limits to compare with")
    assert _reading_words(plain).endswith(": 60 psi, no limits known")
    odd = sample.reading("Oil pressure", "60", "no limits known", "60 psi, no limits. Not judged: nothing")
    assert _reading_words(odd).endswith(": 60 psi, no limits known")


def test_an_engine_is_called_as_people_call_it_and_one_rated_speed_is_said_once():
    findings = sample.record().findings
    fault = replace(findings.faults[0], engine="Single")
    (picture,) = lanes_pictures(replace(findings, faults=(fault,)))
    assert picture.title == "Codes of the engine over engine hours"
    (picture,) = lanes_pictures(replace(findings, faults=(replace(fault, engine=""),)))
    assert picture.title.startswith("Codes of the vessel over ")
    engine = replace(findings.engines[0], rated_rpm_low=1800, rated_rpm_high=1800)
    record = Record(format=FORMAT, issue=None, findings=replace(findings, engines=(engine,)))
    paper = " ".join(paper_html(record, Stationery("letter")).split())
    assert "full throttle 1800 rpm" in paper
    assert "1800 to 1800" not in paper


def figures(**changes) -> dict[str, str]:
    findings = replace(sample.findings(), **{"wording": WORDING, **changes})
    return {one.label: one.value for one in figures_of(findings)}


def boat(*units: str, scans=(), engines=("Port", "Starboard")):
    """A boat of so many engines; ``units`` name their engines, ``scans`` are (unit, complete)."""
    base = sample.findings()
    return {
        "engines": tuple(replace(base.engines[0], position=name) for name in engines),
        "units": tuple(replace(base.units[0], name=f"ECU {name}", engine=name) for name in units),
        "scans": tuple(
            replace(base.scans[0], unit=f"ECU {name}", is_complete=full, tells_codes=True, seen=())
            for name, full in scans
        ),
        "faults": (),
        "readings": (),
        "recommendations": (),
    }


BOTH = (("Port", True), ("Starboard", True))


@pytest.mark.parametrize(
    ("units", "scans", "label", "value"),
    [
        (("Port", "Starboard"), BOTH, "codes open", "0"),
        (("Port", "Starboard"), BOTH[:1], "codes open where scanned", "0"),
        # the starboard engine has no unit on record, so nobody read anything of it
        (("Port",), BOTH[:1], "codes open where scanned", "0"),
        (("Port", "Starboard"), (("Port", False), ("Starboard", True)), "codes open, as far as read", "0"),
        (("Port", "Starboard"), (("Port", False),), "codes open where scanned, as far as read", "0"),
        (("Port", "Starboard"), (("Port", False), *BOTH), "codes open", "0"),
        (("Port", "Starboard"), (), "codes open where scanned", "not scanned"),
        ((), (), "codes open where scanned", "not scanned"),
    ],
)
def test_no_count_of_codes_says_more_than_was_read(units, scans, label, value):
    assert figures(**boat(*units, scans=scans))[label] == value


def test_a_count_of_readings_names_those_that_no_limit_judges():
    reading = sample.reading("Oil pressure", "60", "in range", "60 psi, in range")
    bare = replace(reading, verdict="no limits known", low=None, high=None, says="")
    assert figures(readings=(reading,) * 2)["readings out of limits"] == "0"
    assert figures(readings=(reading, bare, bare))["readings out of limits, 2 without limits"] == "0"
    assert figures(readings=(bare,))["readings out of limits"] == "no limits known"
    assert figures(readings=())["readings out of limits"] == "none taken"


def test_nothing_noted_is_not_nothing_to_do():
    assert figures(recommendations=())["to do before next use"] == "none noted"
    urgent = sample.findings().recommendations[0]
    assert figures(recommendations=(replace(urgent, urgency="before next use"),))["to do before next use"] == "1"


def test_what_was_signed_by_older_words_is_still_said_by_them():
    # the public page holds these words beside the paper, and says not to rely on one that differs
    bare = replace(
        sample.reading("Oil pressure", "60", "no limits known", ""), verdict="no limits known", low=None, high=None
    )
    judged = sample.reading("Oil pressure", "60", "in range", "60 psi, in range")
    old = figures(**{**boat("Port", scans=(("Port", False),)), "readings": (bare, judged)}, wording=1)
    assert old == {
        "codes open": "0", "returned, of those open": "0", "readings out of limits": "0", "to do before next use": "0",
    }  # fmt: skip
