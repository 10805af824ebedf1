"""Every sentence of an awkward job's report is read as a surveyor would: true, clear, and of the time of the job."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import UTC, date, datetime
from decimal import Decimal
from zoneinfo import ZoneInfo

import pytest

from engineering.codes import CodeStatus
from engineering.faults import Seen, explain_state, replay
from files.paper.drawing import Stationery
from findings.readings.parameters import seed_parameters
from findings.reports import actions, schema
from findings.reports.build import build_findings
from findings.reports.differences import differences
from findings.reports.letters import unprintable
from findings.reports.record import FORMAT, Findings, Record, to_json
from findings.reports.render import draw_pdf, paper_html
from tests.findings import story
from tests.findings.reports import awkward, sample
from vessels.actions import log_hours
from workorders.models import Job

pytestmark = pytest.mark.django_db


@pytest.fixture
def told(cast) -> Job:
    """The job with fewer codes and readings than fit."""
    seed_parameters()
    return awkward.tell(cast, codes=12, readings=24)


def findings_of(cast, job) -> Findings:
    return build_findings(actions.draft_report(by=cast.tech, job=job))


def words_of(findings: Findings) -> str:
    """The words of the paper on one line, without its tags."""
    page = paper_html(Record(format=FORMAT, issue=None, findings=findings), Stationery("letter"))
    return " ".join(re.sub(r"<[^>]+>", " ", page.partition("<body")[2]).replace("&nbsp;", " ").split())


def test_what_a_surveyor_reads_is_so(cast, told):
    found = findings_of(cast, told)
    schema.check(to_json(Record(format=FORMAT, issue=None, findings=found)))
    words = words_of(found)
    for said in (
        # hours that nobody read, of an engine that is gone and of one that is new
        "Starboard, removed Norrland D6T-370, hours not known",
        "Starboard Norrland D6T-370, hours not known",
        "Port Norrland D6T-370, 788 h",
        # nobody said on which day it was inspected: what was logged is no inspection by itself
        "Apr 11, 2025 to Apr 13, 2025, by what was logged",
        # page one: what is out, on arrival and after, before the long list of codes
        "Readings out of their limits, on arrival Readings out of their limits, all others "
        "Oil pressure, port: 30 psi (206.8 kPa), limits 40 to 65 psi "
        "Coolant outlet, port: 97 °C, limits at most 93.3 °C",
        "Engine control unit (starboard, removed): P0171 (last seen on Mar 14, 2025)",
        # which engine the work was on: twin engines have the same codes
        "SPN 110 FMI 0 Engine control unit (port) Replaced the thermostat. Flushed the circuit.",
        # who charged a part did not fit it
        "1 × Thermostat (charged by Mina Sparrow,",
        "Parts that belong to no single concern 3 × Shop rags (charged by Mina Sparrow,",
        "Done by: Orla Brandt, Tomas Reef. Done on: Apr 12, 2025. Recorded by Mina Sparrow, Apr 13, 2025",
        "Tightened four bolts. Done by: not recorded. Done on: not recorded.",
        # instruments: of the register, typed, and none
        "Pressure gauge, Tidewell T4, serial 1182, calibrated until Jan 2, 2026",
        "Thermometer, Brightwater 20, serial B-7, out of calibration (was due Jan 2, 2024)",
        "Thermometer of the owner, calibration not on record",
        "instrument not named",
        "1 line of the read-out not understood",
        "Active: seen once, on Mar 14, 2025.",
    ):
        assert said in words, said
    assert "5555" not in words  # the scan of the other boat was taken back
    assert not re.search(r"\d{4}-\d\d-\d\d", words.replace(told.opened_at.isoformat(), "")), "a date nobody writes so"
    assert ".." not in words


def test_readings_out_stand_before_a_long_list_of_codes(cast, told):
    words = words_of(findings_of(cast, told))
    assert words.index("Readings out of their limits") < words.index("Codes listed")


def test_hours_that_are_known_stand_in_the_compact_table_too(cast, told):
    found = findings_of(cast, told)
    plain = [one for one in found.readings if one.verdict == "no limits known"]
    assert len(plain) > 2
    first, second, *rest = plain
    some = replace(
        found,
        readings=(
            replace(first, hours=Decimal("786.5")),
            replace(second, hours=Decimal("788.3"), engine=first.engine, phase=first.phase, at=first.at),
            *rest,
        ),
    )
    assert "786.5 h to 788.3 h; Tomas Reef" in words_of(some)


def test_a_report_of_an_old_job_shows_the_old_job(cast, told):
    told.state, told.closed_at = "closed", story.at(13)
    told.save()
    before = words_of(findings_of(cast, told))
    story.scan(cast, 300, 1500, [story.seen(story.COOLANT), story.seen(awkward.FUEL)])
    log_hours(by=cast.tech, engine=cast.port, shown=Decimal(1600), happened_at=story.at(301))
    assert words_of(findings_of(cast, told)) == before
    assert "ended Apr 14, 2025; all facts are as at its end" in before


def test_a_note_in_letters_that_the_paper_lacks_is_no_part_of_it(cast, told):
    assert unprintable(findings_of(cast, told)) == ""


@pytest.mark.long  # drawing takes most of it, and the paper of as many that were not told through actions is drawn too
@pytest.mark.slow
@pytest.mark.draws_its_paper
def test_as_many_codes_and_readings_as_a_bad_day_brings_fit_on_fourteen_pages(cast):
    seed_parameters()
    found = findings_of(cast, awkward.tell(cast))
    assert (len(found.readings), len({one.code for one in found.scans[0].seen})) == (awkward.READINGS, awkward.CODES)
    drawn = draw_pdf(Record(format=FORMAT, issue=None, findings=found), Stationery("letter"))
    assert drawn.pages <= 14


# Dates are those of the shop.


def test_a_date_in_a_sentence_is_the_shops_own():
    late = datetime(2025, 4, 14, 2, 30, tzinfo=UTC)
    history = replay([Seen("a", late, None, CodeStatus.ACTIVE)])
    assert explain_state(history, ZoneInfo("America/New_York")) == "Active: seen once, on Apr 13, 2025."
    assert explain_state(history, UTC) == "Active: seen once, on Apr 14, 2025."


# What a revision changes.


def changed(**facts: object) -> list[str]:
    old = sample.covered(sample.findings())
    reading = replace(old.readings[0], **facts)
    return differences(old, replace(old, readings=(reading, *old.readings[1:])))


@pytest.mark.parametrize(
    ("facts", "said"),
    [
        ({"instrument": "Gauge G-13"}, "instrument: “Gauge G-13”, it was “Gauge G-12”"),
        ({"instrument_serial": "77"}, "instrument serial: “77”, it was “4471-B”"),
        ({"calibrated_until": date(2026, 1, 1)}, "calibrated until: Jan 1, 2026, it was Jul 1, 2025"),
        ({"low": Decimal(30)}, "lower limit: 30, it was 40"),
        ({"by": "Luz"}, "by: “Luz”, it was “Tomas Reef”"),
        (
            {"value": Decimal(51)},
            "Oil pressure, port, sea trial: 51 psi, in range; it was Oil pressure, port, sea trial",
        ),
    ],
)
def test_every_fact_of_a_reading_that_changed_is_told(facts, said):
    (sentence,) = changed(**facts)
    assert said in sentence


def test_what_an_older_form_did_not_say_is_told_in_one_sentence():
    old = sample.covered(sample.findings())
    older = replace(old, readings=tuple(replace(one, by="", instrument_serial="") for one in old.readings))
    (sentence,) = differences(older, old)
    assert sentence.startswith("Details are given that the earlier report did not give")
    assert differences(old, old) == []


def test_the_end_of_the_job_is_told():
    old = sample.covered(sample.findings())
    new = replace(old, job=replace(old.job, ended_at=sample.at(62)))
    assert differences(old, new) == ["The job ended Aug 4, 2025; it had not ended when the earlier report was signed."]


def test_a_recommendation_taken_out_is_quoted():
    old = sample.covered(sample.findings())
    new = replace(old, recommendations=old.recommendations[:2])
    assert differences(old, new) == [
        "Recommendation no longer in the report: watch, “Charging voltage, starboard, at the next service.”."
    ]
