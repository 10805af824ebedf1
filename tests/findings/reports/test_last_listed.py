"""What page one says was listed on arrival and last: each scan with its day, and nothing that no scan says."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from engineering.codes import CodeSystem
from files.paper.drawing import Stationery
from findings.reports import actions
from findings.reports.build import build_findings
from findings.reports.gaps import gaps
from findings.reports.page_one import stands
from findings.reports.record import FORMAT, ClearFacts, Record
from findings.reports.render import paper_html
from findings.reports.verdicts import _compare
from tests.findings import story
from tests.findings.reports import sample
from vessels.actions import log_hours, replace_meter

PORT = "Engine control unit (port)"
STARBOARD = "Engine control unit (starboard)"
HIGH = story.Code(CodeSystem.SPN, "111-1")
LOW = story.Code(CodeSystem.SPN, "97-0")


def found(cast, job):
    return build_findings(actions.draft_report(by=cast.tech, job=job))


def words_of(findings) -> str:
    return " ".join(paper_html(Record(format=FORMAT, issue=None, findings=findings), Stationery("letter")).split())


def extents(findings) -> tuple[str, str, str]:
    row = next(one for one in findings.coverage if one.unit == PORT)
    return row.arrival, row.after, row.other


@pytest.mark.django_db
class TestTold:
    def test_a_scan_on_arrival_after_the_work_is_the_last_one(self, cast):
        """The boat came back on the job that was reopened: what was listed then is how it stands."""
        job = story.open_job(cast)
        story.scan(cast, 0, 100, [story.seen(story.COOLANT)], job=job)
        story.work(cast, 1, 120, [story.fault(story.COOLANT)], job=job)
        story.clear(cast, 2, 140, job=job)
        story.scan(cast, 2.1, 140.1, [], job=job, phase="after-repair")
        story.scan(cast, 12, 141, [story.seen(story.COOLANT)], job=job)
        findings = found(cast, job)
        arrival, last = stands(findings)
        assert arrival.codes == [
            f"{PORT}, Apr 1, 2025, 100 h: SPN 110 FMI 0 active",
            f"{PORT}, Apr 13, 2025, 141 h: SPN 110 FMI 0 active",
        ]
        assert last.codes == [f"{PORT}, Apr 13, 2025, 141 h: SPN 110 FMI 0 active"]
        assert last.without == []
        assert extents(findings) == ("complete", "complete", "")
        words = words_of(findings)
        assert "Codes listed, last" in words
        assert "no code listed" not in words
        told = dict(_compare(findings, type("Report", (), {"pages": 1})()))
        assert told["Codes listed, last"].startswith(f"{PORT}, Apr 13, 2025, 141 h: SPN 110 FMI 0 active; ")

    @pytest.mark.parametrize("about_no_code", [False, True])
    def test_without_work_on_codes_there_is_no_after(self, cast, about_no_code):
        job = story.open_job(cast)
        story.scan(cast, 0, 100, [story.seen(story.COOLANT)], job=job)
        if about_no_code:
            story.work(cast, 1, 100, [], text="Changed the oil.", job=job)
        story.scan(cast, 2, 101, [], job=job, phase="sea-trial")
        findings = found(cast, job)
        arrival, last = stands(findings)
        assert arrival.codes == [f"{PORT}, Apr 1, 2025, 100 h: SPN 110 FMI 0 active"]
        assert last.without == [f"{PORT}, Apr 3, 2025, 101 h"]
        assert extents(findings) == ("complete", "", "complete")
        words = words_of(findings)
        assert "Other scans" in words
        assert "Codes listed, after" not in words
        assert "out of their limits, after" not in words

    def test_a_unit_that_was_scanned_on_arrival_alone_has_no_later_scan(self, cast):
        job = story.open_job(cast)
        story.scan(cast, 0, 100, [story.seen(story.COOLANT)], job=job)
        findings = found(cast, job)
        _, last = stands(findings)
        assert (last.codes, last.without, last.no_later) == ([], [], [PORT])
        assert last.not_scanned == [STARBOARD]
        assert f"{PORT}: no later scan" in words_of(findings)

    def test_each_scan_on_arrival_is_told_with_its_day(self, cast):
        job = story.open_job(cast)
        story.scan(cast, 0, 100, [story.seen(HIGH), story.seen(LOW)], job=job)
        story.scan(cast, 9, 101, [], job=job)
        story.scan(cast, 19, 102, [story.seen(LOW)], job=job)
        arrival, last = stands(found(cast, job))
        assert arrival.codes == [
            f"{PORT}, Apr 1, 2025, 100 h: SPN 111 FMI 1, SPN 97 FMI 0 active",
            f"{PORT}, Apr 20, 2025, 102 h: SPN 97 FMI 0 active",
        ]
        assert arrival.without == [f"{PORT}, Apr 10, 2025, 101 h"]
        assert last.no_later == [PORT]

    def test_scans_of_two_times_are_not_told_as_one(self, cast):
        """A code stored by a complete scan and active by a partial one later: two scans, each with its time."""
        job = story.open_job(cast)
        story.scan(cast, 0, 100, [story.seen(story.COOLANT)], job=job)
        story.scan(cast, 1, None, [story.seen(story.COOLANT, "stored")], job=job, phase="sea-trial")
        story.scan(cast, 1.1, None, [story.seen(story.COOLANT)], job=job, phase="sea-trial", complete=False)
        _, last = stands(found(cast, job))
        assert last.codes == [
            f"{PORT}, Apr 2, 2025, 8:00 AM: SPN 110 FMI 0 stored",
            f"{PORT}, Apr 2, 2025, 10:24 AM: SPN 110 FMI 0 active",
        ]
        assert last.partial == [f"{PORT}, Apr 2, 2025, 10:24 AM"]

    @pytest.mark.parametrize("cleared", [False, True])
    def test_what_was_done_after_the_last_scan_is_said(self, cast, cleared):
        job = story.open_job(cast)
        story.scan(cast, 0, 100, [story.seen(story.COOLANT)], job=job)
        story.scan(cast, 1, 101, [], job=job, phase="sea-trial")
        story.work(cast, 2, 102, [story.fault(story.COOLANT)], job=job)
        if cleared:
            story.clear(cast, 3, 102, job=job)
        findings = found(cast, job)
        _, last = stands(findings)
        since = "codes of it were cleared, Apr 4" if cleared else "the last work about its codes, Apr 3"
        assert (last.codes, last.without) == ([], [])
        assert last.not_since == [f"{PORT}: not scanned since {since}, 2025"]
        assert extents(findings) == ("complete", "not scanned", "complete")
        assert f"{PORT}: not scanned since {since}, 2025" in words_of(findings)

    def test_a_clear_of_another_job_makes_no_after_of_this_one(self, cast):
        other, job = story.open_job(cast), story.open_job(cast)
        story.scan(cast, 0, 100, [story.seen(story.COOLANT)], job=job)
        story.clear(cast, 1, 101, job=other)
        story.scan(cast, 2, 102, [], job=job, phase="sea-trial")
        findings = found(cast, job)
        assert extents(findings) == ("complete", "", "complete")
        assert stands(findings)[1].without == [f"{PORT}, Apr 3, 2025, 102 h"]

    def test_what_is_open_by_a_scan_of_a_later_job_is_not_told_as_earlier(self, cast):
        job, later = story.open_job(cast), story.open_job(cast, day=20)
        story.scan(cast, 0, 100, [], job=job)
        story.scan(cast, 21, 120, [story.seen(story.COOLANT)], job=later)
        words = words_of(found(cast, job))
        assert "Open by scans that are not of this job; no scan of this job lists them" in words
        assert "earlier scans" not in words

    @pytest.mark.parametrize("returns", [False, True])
    def test_a_return_on_another_job_is_not_told_as_of_this_one(self, cast, returns):
        job, later = story.open_job(cast), story.open_job(cast, day=20)
        story.scan(cast, 0, 100, [story.seen(story.COOLANT)], job=job)
        story.clear(cast, 1, 101, job=job)
        story.scan(cast, 2, 102, [], job=job, phase="sea-trial")
        if returns:
            story.scan(cast, 21, 120, [story.seen(story.COOLANT)], job=job)
        story.scan(cast, 22, 121, [story.seen(story.COOLANT, "stored")], job=later)
        words = words_of(found(cast, job))
        elsewhere = "on this job; last seen on Apr 23, 2025, by a scan that is not of this job</p>"
        assert (elsewhere in words) != returns
        clears = 1
        assert words.count('<p class="rp-small">on this job</p>') == clears + returns

    def test_hours_that_are_not_known_since_the_meter_was_replaced(self, cast):
        job = story.open_job(cast)
        log_hours(by=cast.tech, engine=cast.port, shown=Decimal(2000), happened_at=story.at(0))
        replace_meter(by=cast.tech, engine=cast.port, happened_at=story.at(30))
        findings = found(cast, job)
        said = next(one for one in gaps(findings, job) if one.startswith("Port: "))
        assert said == (
            "Port: since May 1, 2025, when the hour meter was replaced, the engine’s hours are not known; the last on "
            "record before that are 2,000 h, Apr 1, 2025."
        )
        assert "The hour meter was replaced on May 1, 2025, and the old one was not read. Before that: " in words_of(
            findings
        )


def told(*scans, work=(), clears=()):
    base = sample.findings()
    return stands(replace(base, wording=3, scans=scans, work=work, clears=clears, units=base.units[:1]))


def scan(day: float, *seen, phase: str = "Sea trial", full: bool = True, hours=None):
    base = next(one for one in sample.findings().scans if one.unit == PORT)
    codes = tuple(replace(base.seen[0], code=code, status="active") for code in seen)
    return replace(base, at=sample.at(day), phase=phase, is_complete=full, seen=codes, tells_codes=True, hours=hours)


def cleared(day: float):
    return ClearFacts(at=sample.at(day), hours=None, unit=PORT, engine="Port", codes=(),
                      job=sample.findings().job.number, by="Tomas Reef", text="")  # fmt: skip


def test_a_scan_of_the_minute_of_a_clear_that_lists_codes_was_before_it():
    _, last = told(scan(1, "A"), clears=(cleared(1),))
    assert (last.codes, last.not_since) == ([], [f"{PORT}: not scanned since codes of it were cleared, Jun 4, 2025"])
    _, last = told(scan(1, "A"), scan(1), clears=(cleared(1),))
    assert last.without == [f"{PORT}, Jun 4, 2025"]


def test_many_scans_are_counted_and_the_codes_of_the_rest_are_named_elsewhere():
    arrival, _ = told(*(scan(day, f"C{day}", phase="On arrival") for day in range(9)))
    assert [one.split(": ")[1] for one in arrival.codes] == [f"C{day} active" for day in (0, 1, 2, 3, 4, 8)]
    assert arrival.more == [f"{PORT}: 3 more scans under “Scans of this job”"]
    _, last = told(scan(0), *(scan(day, f"C{day}", full=False) for day in range(1, 10)))
    assert last.without == [f"{PORT}, Jun 3, 2025"]
    assert [one.split(": ")[1] for one in last.codes] == [f"C{day} active" for day in range(5, 10)]
    assert last.more == [f"{PORT}: 4 more scans under “Scans of this job”"]


def test_what_was_signed_by_older_words_keeps_them():
    base = sample.findings()
    arrival, after = stands(replace(base, wording=2, work=()))
    assert (arrival.heading, after.heading) == ("On arrival", "After")
    assert not [one for one in [*arrival.codes, *after.codes] if "2025" in one]
    record = sample.record()
    words = words_of(replace(record.findings, wording=2))
    assert "Codes listed, after" in words
    assert "“After” is after the last work about a unit’s codes. " in words
