"""Clears are events of the record: who, what, when, at which hours. A bar is full only as far as it was seen."""

from __future__ import annotations

import subprocess
from dataclasses import replace
from datetime import timedelta
from decimal import Decimal

import pytest

from files.paper.drawing import Stationery
from findings.faults.actions import clear_codes
from findings.faults.models import Clear
from findings.reports import actions
from findings.reports.build import build_findings
from findings.reports.differences import differences
from findings.reports.lanes import lanes_pictures
from findings.reports.record import FORMAT, ClearFacts, Record, to_json
from findings.reports.render import draw_pdf, paper_html
from findings.reports.schema import check
from tests.findings import story
from tests.findings.reports import sample
from vessels.actions import remove_engine

pytestmark = pytest.mark.django_db


def words_of(findings) -> str:
    page = paper_html(Record(format=FORMAT, issue=None, findings=findings), Stationery("letter"))
    return " ".join(page.split())


def test_every_clear_by_the_end_of_the_job_is_told_with_who_when_and_hours(cast, job):
    story.clear(cast, 12.5, None, [story.fault(story.OIL)], job=job)
    draft = actions.draft_report(by=cast.tech, job=job)
    found = build_findings(draft)
    assert [(one.hours, one.codes, one.job, one.by, one.unit) for one in found.clears] == [
        (702, (), "", "Tomas Reef", "Engine control unit (port)"),
        (Decimal("786.2"), (), str(job.number), "Tomas Reef", "Engine control unit (port)"),
        (None, ("SPN 100 FMI 1",), str(job.number), "Tomas Reef", "Engine control unit (port)"),
    ]
    check(to_json(Record(format=FORMAT, issue=sample.issue(), findings=found)))
    words = words_of(found)
    assert "Clears on record, up to the end of this job" in words
    for said in ("702 h", "786.2 h", "hours not read", "all codes", "on no job", "on this job"):
        assert said in words, said
    assert "With which instrument codes were cleared is not recorded." in words


def test_a_corrected_clear_is_told_once_with_both_people(cast, job):
    clear = Clear.objects.get(entry__job=job)
    clear_codes(
        by=cast.manager, unit=clear.unit, faults=None, job=job, happened_at=clear.entry.happened_at, amends=clear.entry
    )
    found = build_findings(actions.draft_report(by=cast.tech, job=job))
    assert [(one.by, one.corrected_by) for one in found.clears if one.job] == [("Tomas Reef", "Mina Sparrow")]
    assert "Tomas Reef, corrected by Mina Sparrow" in words_of(found)


def test_a_clear_after_the_job_is_not_in_it(cast, job):
    job.state, job.closed_at = "closed", story.at(13)
    job.save()
    story.clear(cast, 40, 900)
    found = build_findings(actions.draft_report(by=cast.tech, job=job))
    assert len(found.clears) == 2


def test_none_is_said_where_there_is_none_and_nothing_by_an_older_form(cast):
    job = story.open_job(cast)
    story.scan(cast, 0, 100, [story.seen(story.COOLANT)], job=job)
    found = build_findings(actions.draft_report(by=cast.tech, job=job))
    assert "No clear of these control units is in this vessel’s log." in words_of(found)
    assert "Clears on record" not in words_of(replace(found, clears=None))
    assert "No clear" not in words_of(replace(found, clears=None))


def test_a_revision_names_the_clear_that_came_late(cast, job):
    draft = actions.draft_report(by=cast.tech, job=job)
    old = build_findings(draft)
    story.clear(cast, 12.5, 788, [story.fault(story.OIL)], job=job)
    told = differences(old, build_findings(draft))
    assert "Clear added: Engine control unit (port), Apr 13, 2025: SPN 100 FMI 1 cleared." in told
    assert not [said for said in differences(replace(old, clears=None), build_findings(draft)) if "Clear" in said]


def test_what_went_by_itself_after_an_earlier_clear_is_not_said_to_have_none(cast):
    job = story.open_job(cast)
    story.scan(cast, 0, 100, [story.seen(story.COOLANT)], job=job)
    story.clear(cast, 0.1, 100, job=job)
    story.scan(cast, 9, 140, [story.seen(story.COOLANT)])
    story.scan(cast, 12, 155, [], job=job, phase="sea-trial")
    words = words_of(build_findings(actions.draft_report(by=cast.tech, job=job)))
    assert "last seen at 140 h and gone at 155 h, with no clear on record in between" in words.replace(
        '<span class="rp-kept">', ""
    ).replace("</span>", "")
    assert "on record before" not in words


def test_a_bar_is_full_only_as_far_as_the_code_was_seen():
    found = sample.findings()
    one = found.faults[0]
    first = one.episodes[0]
    gone = replace(first, closed_by="absent", last_seen_hours=first.opened_hours, last_seen_at=first.opened_at)
    (picture,) = lanes_pictures(replace(found, faults=(replace(one, episodes=(gone,), state="historic"),)))
    (bar,) = picture.lanes[0].bars
    assert (bar.seen_to, bar.end) == (float(first.opened_hours), float(first.closed_hours))
    assert bar.end > bar.seen_to
    assert not picture.is_known_throughout
    unread = replace(gone, last_seen_hours=None, last_seen_at=first.opened_at + timedelta(days=1))
    (picture,) = lanes_pictures(replace(found, faults=(replace(one, episodes=(unread,), state="historic"),)))
    assert picture.lanes[0].bars[0].seen_to == float(first.opened_hours)  # how far it was seen has no hours


def test_the_pdf_says_it_too(tmp_path):
    told = ClearFacts(
        at=sample.at(3), hours=Decimal("702.5"), unit="Engine control unit (port)", engine="Port", codes=(),
        job="1011", by="Tomas Reef", text="",
    )  # fmt: skip
    unread = replace(told, at=sample.at(4), hours=None, codes=("SPN 110 FMI 0",), job="", by="Mina Sparrow")
    found = replace(sample.findings(), clears=(told, unread))
    file = tmp_path / "report.pdf"
    file.write_bytes(draw_pdf(Record(format=FORMAT, issue=None, findings=found), Stationery("letter")).data)
    text = subprocess.run(["pdftotext", "-layout", str(file), "-"], capture_output=True, text=True, check=True).stdout
    clears = text[text.index("Clears on record, up to the end of this job") :]
    for said in ("all codes", "702.5 h", "job 1011", "hours not read", "on no job", "Mina Sparrow", "SPN 110 FMI 0"):
        assert said in clears, said


def test_what_the_log_has_of_removed_engines_is_not_denied(cast):
    story.scan(cast, 0, 700, [story.seen(story.COOLANT)])
    story.clear(cast, 1, 702)
    for engine in (cast.port, cast.starboard):
        remove_engine(by=cast.tech, engine=engine, happened_at=story.at(5))
    words = words_of(build_findings(actions.draft_report(by=cast.tech, job=story.open_job(cast, 10))))
    assert "No engine and no control unit is aboard by the records" in words
    assert "No engine is aboard by the records." in words
    assert "one that was removed before this job is not told here" in words
    for false in ("No fault code", "No clear", "is on record for this vessel"):
        assert false not in words
