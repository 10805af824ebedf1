"""A note that corrects what a report rests on: in draft and revision, on paper, on the issued report’s page."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils import timezone
from django.utils.formats import date_format

from files.paper.drawing import Stationery
from findings.faults.models import Clear, Scan, WorkDone
from findings.readings.actions import log_reading
from findings.readings.models import Reading
from findings.reports import actions, schema
from findings.reports.build import build_findings
from findings.reports.corrected_since import corrected_since, entered_since
from findings.reports.differences import differences
from findings.reports.instruments import made_with
from findings.reports.record import FORMAT, Record, from_json, to_json
from findings.reports.render import paper_html
from tests.findings import story
from tests.findings.reports import sample
from vessels.actions import amend_text, identify_unit, log_hours, retract, write_note

pytestmark = pytest.mark.django_db
RIGHT = "Two vanes were broken, not three."


def words_of(findings) -> str:
    page = paper_html(Record(format=FORMAT, issue=None, findings=findings), Stationery("letter"))
    return " ".join(page.split())


def the_findings(cast, job):
    return build_findings(actions.draft_report(by=cast.tech, job=job))


def entries_of(job):
    """Work, clear, scan and reading of the job, one of each."""
    return [
        WorkDone.objects.get(entry__job=job).entry,
        Clear.objects.get(entry__job=job).entry,
        Scan.objects.filter(entry__job=job).earliest("entry__happened_at").entry,
        Reading.objects.filter(entry__job=job, entry__engine__position="port").get().entry,
    ]


def test_the_right_words_stand_on_paper_beside_what_they_correct(cast, job):
    before = the_findings(cast, job)
    assert "Corrected by" not in words_of(before)
    said = [f"{RIGHT} {number}" for number in range(4)]
    for entry, text in zip(entries_of(job), said, strict=True):
        amend_text(by=cast.desk, entry=entry, text=text)
    after = the_findings(cast, job)
    today = timezone.localdate()
    words = words_of(after)
    for text in said:
        assert f"<b>Corrected by {cast.desk.name}, {today:%b} {today.day}, {today.year}:</b> {text}" in words
    record = to_json(Record(format=FORMAT, issue=sample.issue(), findings=after))
    schema.check(record)
    assert from_json(record).findings == after
    told = differences(before, after)
    assert [line.partition(":")[0] for line in told] == ["Scan", "Clear", "Code", "Reading", "Work"]
    for text in said:
        assert any(
            f"corrected by {cast.desk.name}, {today:%b} {today.day}, {today.year}: “{text}”" in one for one in told
        )
    assert differences(after, after) == []


def test_a_correction_that_was_voided_is_told_as_gone(cast, job):
    work = entries_of(job)[0]
    note = amend_text(by=cast.desk, entry=work, text=RIGHT)
    before = the_findings(cast, job)
    retract(by=cast.manager, entry=note, reason="Other boat.")
    after = the_findings(cast, job)
    assert RIGHT not in words_of(after)
    assert any(f"no longer corrected by {cast.desk.name}: “{RIGHT}”" in one for one in differences(before, after))


def test_a_record_of_before_lacks_them_and_stays_of_its_form(cast, job):
    found = the_findings(cast, job)
    record = to_json(Record(format=FORMAT, issue=sample.issue(), findings=found)).decode()
    import json

    facts = json.loads(record)
    for name in ("scans", "work", "clears", "readings"):
        for row in facts["findings"][name]:
            row.pop("corrections")
            row.pop("by_hand", None)
    for fault in facts["findings"]["faults"]:
        if fault["last_work"]:
            fault["last_work"].pop("corrections")
    old = json.dumps(facts).encode()
    schema.check(old)
    assert from_json(old).findings == found


def test_the_issued_reports_page_warns_of_what_was_corrected_since(cast, job, issue, client):
    report = issue(job)
    client.force_login(cast.manager)
    url = reverse("reports:issued", args=[report.number])
    assert "Corrected since it was signed" not in client.get(url).content.decode()
    work, cleared, *_ = entries_of(job)
    write_note(by=cast.desk, vessel=cast.vessel, job_id=job.pk, text="A note is in no report.")
    story.work(cast, 30, 800, [], text="Oil changed.")
    amend_text(by=cast.desk, entry=WorkDone.objects.latest("entry__happened_at").entry, text="Not on this job.")
    assert corrected_since(report) == []
    note = amend_text(by=cast.desk, entry=work, text=RIGHT)
    retract(by=cast.tech, entry=cleared, reason="It was the other boat.")
    page = client.get(url).content.decode()
    assert "Corrected since it was signed" in page
    assert RIGHT in page
    assert f"corrected by {cast.desk.name}, " in page
    assert f"voided by {cast.tech.name}, " in page
    assert "Not on this job." not in page
    retract(by=cast.manager, entry=note, reason="Three after all.")
    assert [(one.entry, one.done.partition(" by ")[0]) for one in corrected_since(report)] == [
        (work, "corrected"), (cleared, "voided"), (work, "a correction of it was voided"),
    ]  # fmt: skip
    assert [one.is_void for one in corrected_since(report)] == [True, False, False]
    assert "(that correction was voided)" in client.get(url).content.decode()


def test_a_history_rests_on_every_scan_of_the_boat_by_the_jobs_end(cast, job, issue):
    report = issue(job)
    first = Scan.objects.earliest("entry__happened_at")
    assert first.entry.job_id is None
    amend_text(by=cast.desk, entry=first.entry, text="Read at the dock.")
    assert [one.entry for one in corrected_since(report)] == [first.entry]


def test_hours_and_identities_of_before_the_job_are_rested_on_where_they_are_printed(cast, job, issue):
    hours = log_hours(by=cast.tech, engine=cast.starboard, shown=Decimal("788.5"), happened_at=story.at(12.2))
    told = identify_unit(by=cast.tech, unit=cast.starboard_unit, software="4.1", happened_at=story.at(12.3))
    assert hours.job_id is None is told.job_id
    report = issue(job)
    printed = [one.hours for one in from_json(report.record).findings.engines]
    assert hours.engine_hours in printed
    retract(by=cast.manager, entry=hours, reason="It was the other engine's meter.")
    assert [one.entry for one in corrected_since(report)] == [hours]
    retract(by=cast.manager, entry=told, reason="It was the other unit.")
    assert [one.entry for one in corrected_since(report)] == [hours, told]


def test_whoever_checks_a_paper_is_told_that_its_record_changed_and_no_more(cast, job, issue, client):
    report = issue(job)
    address = reverse("reports:verify_code", args=[report.number, report.code])

    def told() -> str:
        page = " ".join(client.get(address).content.decode().split())
        assert "Authentic" in page
        for private in (cast.desk.name, cast.tech.name, RIGHT, "other boat", "Oil changed", "Late"):
            assert private not in page
        return page.partition("<h2>The record has changed since it was signed</h2>")[2].partition("</div>")[0]

    assert told() == ""
    write_note(by=cast.desk, vessel=cast.vessel, job_id=job.pk, text="A note is in no report.")
    story.work(cast, 30, 800, [], text="Oil changed.")
    assert told() == ""
    today = f"{date_format(timezone.localdate(), 'F j, Y')}"
    work, cleared, *_ = entries_of(job)
    note = amend_text(by=cast.desk, entry=work, text=RIGHT)
    assert f"1 entry of the record that it rests on was corrected or voided after it was signed, on {today}." in told()
    assert "The report still says what stood there before." in told()
    retract(by=cast.manager, entry=note, reason="Three after all.")
    assert (
        f"1 entry of the record that it rests on was corrected or voided after it was signed, the last time on {today}."
        in told()
    )
    retract(by=cast.tech, entry=cleared, reason="It was the other boat.")
    assert (
        "2 entries of the record that it rests on were corrected or voided after it was signed, the last time" in told()
    )
    assert "added" not in told()
    story.scan(cast, 11.5, None, [], job=job, text="Late")
    assert f"1 entry of the record that it rests on was added after it was signed, on {today}." in told()
    story.scan(cast, 0.5, None, [], text="Late, on no job")
    assert "2 entries of the record that it rests on were added after it was signed, the last time on" in told()
    assert "The report does not know of them." in told()
    actions.withdraw_report(by=cast.owner, report=report, reason="Superseded by events.")
    page = client.get(address).content.decode()
    assert "Withdrawn" in page
    assert "The record has changed" not in page


def test_what_was_entered_late_is_named_on_the_issued_reports_page(cast, job, issue, client):
    report = issue(job)
    client.force_login(cast.manager)
    url = reverse("reports:issued", args=[report.number])
    assert "Entered since it was signed" not in client.get(url).content.decode()
    late = story.work(cast, 30, 800, [], text="Hoses tightened.", job=job)
    after = story.scan(cast, (timezone.now() - story.DAY_ZERO) / timedelta(days=1), 900, [])
    page = client.get(url).content.decode()
    assert "Entered since it was signed" in page
    assert "Hoses tightened." in page
    assert f"entered by {late.entry.author.name}, " in page
    assert [one.entry for one in entered_since(report)] == [late.entry]
    assert after.entry.happened_at > report.signed_at


def test_a_value_corrected_by_hand_is_not_said_to_be_of_the_log(cast, job):
    wrong = entries_of(job)[3]
    reading = Reading.objects.get(pk=wrong.pk)
    values = {"by": cast.tech, "vessel": cast.vessel, "engine": cast.port, "parameter": reading.parameter,
              "unit": "psi", "job": job, "file_sha256": "ab" * 32, "phase": "sea-trial"}  # fmt: skip
    logged = log_reading(**values, value=Decimal("52.5"), amends=wrong)
    told = next(
        one for one in the_findings(cast, job).readings if one.engine == "Port" or one.by_hand or one.file_sha256
    )
    assert made_with(told).words == "the boat’s own sensors, from CAN log abababababab…"
    log_reading(**values | {"by": cast.manager}, value=Decimal(51), amends=logged.entry)
    after = next(one for one in the_findings(cast, job).readings if one.file_sha256)
    said = f"corrected by hand by {cast.manager.name}; the CAN log had 52.5 psi"
    assert after.by_hand == said
    assert made_with(after).words == f"{said} (CAN log abababababab…)"
    assert "own sensors" not in words_of(the_findings(cast, job))
    assert said in words_of(the_findings(cast, job))
    assert made_with(replace(after, by_hand="")).words != made_with(after).words


def test_who_changed_a_report_names_review_signing_and_what_superseded_it(cast, job, issue, client):
    from tests.findings.reports import scene

    report = issue(job)
    client.force_login(cast.owner)

    def story_of(report):
        page = client.get(reverse("reports:issued", args=[report.number])).content.decode()
        address = page.partition(f'href="{reverse("staff:journal")}?record=')[2].partition('"')[0]
        assert address.count("reports.") >= 2
        rows = client.get(f"{reverse('staff:journal')}?record={address}").context["rows"]
        return {row.words: row.changes for row in rows}

    told = story_of(report)
    assert {"Report drafted", "Report reviewed", "Report signed"} <= set(told)
    assert f"reviewed by: nothing → Person {cast.tech.name}" in told["Report reviewed"]
    amend_text(by=cast.desk, entry=entries_of(job)[0], text=RIGHT)
    draft = actions.revise_report(by=cast.owner, report=report)
    revision = scene.explained(cast, draft)
    changed = build_findings(revision).revision.changed
    assert any(f"corrected by {cast.desk.name}, " in one and RIGHT in one for one in changed)
    assert "Revision of a report begun" in story_of(report)
