"""From draft to issued report: who, in which order, and what stays."""

from __future__ import annotations

import hashlib
import io
import json
from pathlib import Path

import pikepdf
import pytest
from django.db import connection, transaction
from django.db.utils import DatabaseError, InternalError

from commands.background import ask, do_now
from commands.refusals import Conflict, Refused
from files.paper import signing
from findings.reports import actions, issuing, schema, tasks
from findings.reports.build import build_findings, findings_digest
from findings.reports.models import DraftState, IssuedReport, ReportDraft
from findings.reports.record import from_json, to_json
from findings.reports.storage import stored_name, stored_pdf
from tests.cast import PASSWORD
from tests.files.disk import safe_when_written
from tests.findings import story
from tests.findings.reports import scene
from vessels.log.verify import broken_link
from vessels.models import LogEntry


def test_a_report_goes_from_draft_to_signed_file(cast, job, issue):
    report = issue(job)
    assert report.number == f"{job.number}-1"
    assert report.draft.state == DraftState.ISSUED
    data = stored_pdf(report)
    assert hashlib.sha256(data).hexdigest() == report.pdf_sha256
    entry = LogEntry.objects.get(pk=report.pk)
    assert (entry.kind, entry.author, entry.job) == ("report-issued", cast.owner, job)
    cast.vessel.refresh_from_db()
    assert broken_link(cast.vessel) is None


@pytest.mark.draws_its_paper
def test_the_embedded_record_is_the_snapshot_and_of_the_published_form(job, issue):
    report = issue(job)
    with pikepdf.open(io.BytesIO(stored_pdf(report))) as pdf:
        embedded = pdf.attachments["record.json"].get_file().read_bytes()
        assert pdf.Root.AF[0].AFRelationship == "/Data"
    assert embedded.decode() == report.record
    assert hashlib.sha256(embedded).hexdigest() == report.record_sha256
    schema.check(embedded)


def test_what_is_logged_later_changes_no_issued_report(cast, job, issue):
    report = issue(job)
    before, data = report.record, stored_pdf(report)
    story.scan(cast, 20, 800, [story.seen(story.COOLANT)], job=job)
    cast.customer.name = "Somebody else"
    cast.customer.save()
    again = IssuedReport.objects.get(pk=report.pk)
    assert again.record == before
    assert stored_pdf(again) == data


def test_the_record_goes_to_json_and_back(job, issue):
    record = from_json(issue(job).record)
    assert to_json(from_json(to_json(record))) == to_json(record)
    states = {fault.code: fault.state for fault in record.findings.faults}
    assert states["SPN 110 FMI 0"] == "cleared"
    assert len(record.findings.faults[0].episodes) in {1, 2}
    verdicts = {reading.engine: reading.verdict for reading in record.findings.readings}
    assert verdicts == {"Port": "in range", "Starboard": "out"}


def test_the_database_refuses_to_change_or_delete_a_report(job, issue):
    report = issue(job)
    for sentence in ("UPDATE reports_issuedreport SET code = 'X'", "DELETE FROM reports_issuedreport"):
        with pytest.raises((InternalError, DatabaseError)), transaction.atomic(), connection.cursor() as cursor:
            cursor.execute(sentence)
    assert IssuedReport.objects.get(pk=report.pk).code == report.code


def test_only_manager_and_owner_sign(cast, job):
    draft = scene.reviewed(cast, job)
    for person in (cast.tech, cast.desk):
        with pytest.raises(Refused, match="does not allow you to sign"):
            scene.sign(person, draft)
    with pytest.raises(Refused, match="draft and word"):
        actions.draft_report(by=cast.desk, job=job)
    draft.refresh_from_db()
    assert draft.state == DraftState.REVIEWED


def test_a_wrong_password_signs_nothing(cast, job):
    draft = scene.reviewed(cast, job)
    with pytest.raises(Refused) as refusal:
        actions.sign_report(by=cast.owner, draft=draft, seen="", password="wrong")
    assert "password" in refusal.value.fields


def test_a_draft_that_nobody_reviewed_is_not_signed(cast, job):
    draft = scene.drafted(cast, job)
    with pytest.raises(Refused, match="not been reviewed"):
        scene.sign(cast.owner, draft)


def test_words_that_change_want_a_new_review(cast, job):
    draft = scene.reviewed(cast, job)
    actions.word_report(by=cast.tech, draft=draft, seen_version=draft.version, changes={"watch": "The belt."})
    draft.refresh_from_db()
    assert (draft.state, draft.reviewed_by) == (DraftState.DRAFTING, None)


def test_two_who_word_one_draft_are_told(cast, job):
    draft = scene.drafted(cast, job)
    seen = draft.version
    actions.word_report(by=cast.manager, draft=draft, seen_version=seen, changes={"summary": "Hers."})
    with pytest.raises(Conflict) as conflict:
        actions.word_report(by=cast.tech, draft=draft, seen_version=seen, changes={"summary": "His."})
    assert conflict.value.theirs == {"summary": "Hers."}
    draft.refresh_from_db()
    assert draft.summary == "Hers."


def test_a_signer_signs_only_what_was_read(cast, job):
    draft = scene.reviewed(cast, job)
    seen = findings_digest(build_findings(draft))
    story.scan(cast, 13, 789, [story.seen(story.LEAN)], job=job)
    with pytest.raises(Refused, match="since Tomas Reef reviewed it"):
        actions.sign_report(by=cast.owner, draft=draft, seen=seen, password=PASSWORD)
    draft.refresh_from_db()
    actions.review_report(by=cast.manager, draft=draft, seen_version=draft.version)
    with pytest.raises(Refused, match="since you opened this page"):
        actions.sign_report(by=cast.owner, draft=draft, seen=seen, password=PASSWORD)


def test_signing_twice_and_running_the_task_twice_makes_one_report(cast, job, django_capture_on_commit_callbacks):
    draft = scene.reviewed(cast, job)
    with django_capture_on_commit_callbacks(execute=True):
        scene.sign(cast.owner, draft)
    scene.sign(cast.manager, draft)
    do_now(ask(tasks.ISSUE_REPORT.name, str(draft.pk)))
    issuing.issue(draft.pk)
    assert IssuedReport.objects.filter(job=job).count() == 1


def test_two_tasks_that_drew_the_same_draft_issue_it_once(cast, job):
    draft = scene.reviewed(cast, job)
    scene.sign(cast.owner, draft)
    draft.refresh_from_db()
    late = ReportDraft.objects.select_related("job__vessel", "signer").get(pk=draft.pk)
    first = issuing.issue(draft.pk)
    second = issuing._draw_and_issue(late)
    assert first is not None
    assert second == first


def test_without_a_certificate_nothing_is_begun(cast, job, settings, tmp_path):
    draft = scene.reviewed(cast, job)
    settings.SIGNING_P12 = str(tmp_path / "none.p12")
    with pytest.raises(signing.CertificateMissing, match="make_certificate"):
        scene.sign(cast.owner, draft)
    draft.refresh_from_db()
    assert (draft.state, draft.sequence) == (DraftState.REVIEWED, None)


def test_a_signing_that_fails_says_so_and_can_be_tried_again(
    cast, job, monkeypatch, caplog, django_capture_on_commit_callbacks
):
    draft = scene.reviewed(cast, job)
    with monkeypatch.context() as patch:
        patch.setattr(issuing, "draw_pdf", lambda *_, **__: 1 / 0)
        with django_capture_on_commit_callbacks(execute=True):
            scene.sign(cast.owner, draft)
    draft.refresh_from_db()
    assert draft.state == DraftState.SIGNING
    assert draft.problem == tasks.WENT_WRONG
    assert "ZeroDivisionError" in caplog.text
    frozen = draft.record
    with django_capture_on_commit_callbacks(execute=True):
        actions.retry_signing(by=cast.manager, draft=draft)
    report = IssuedReport.objects.get(draft=draft)
    assert report.record == frozen
    assert report.signer == cast.owner


def test_a_signing_taken_back_issues_nothing_even_if_its_task_comes_late(cast, job):
    draft = scene.reviewed(cast, job)
    scene.sign(cast.owner, draft)
    late = ReportDraft.objects.select_related("job__vessel", "signer").get(pk=draft.pk)
    actions.cancel_signing(by=cast.owner, draft=draft)
    assert issuing._draw_and_issue(late) is None
    assert not IssuedReport.objects.exists()
    draft.refresh_from_db()
    assert (draft.state, draft.sequence, draft.record) == (DraftState.DRAFTING, None, "")


def test_a_revision_supersedes_and_a_withdrawal_says_why(cast, job, issue, django_capture_on_commit_callbacks):
    first = issue(job)
    with pytest.raises(Refused, match="Revise it"):
        actions.draft_report(by=cast.tech, job=job)
    draft = actions.revise_report(by=cast.manager, report=first)
    assert draft.summary == first.draft.summary
    with pytest.raises(Refused) as refusal:
        actions.review_report(by=cast.tech, draft=draft, seen_version=draft.version)
    assert "why_revised" in refusal.value.fields
    with django_capture_on_commit_callbacks(execute=True):
        scene.sign(cast.manager, scene.explained(cast, draft))
    second = IssuedReport.objects.get(draft=draft)
    assert (second.number, second.supersedes) == (f"{job.number}-2", first)
    assert json.loads(second.record)["issue"]["supersedes"] == first.number
    first = IssuedReport.objects.get(pk=first.pk)
    with pytest.raises(Refused, match="superseded or withdrawn"):
        actions.revise_report(by=cast.manager, report=first)
    with pytest.raises(Refused, match="reason"):
        actions.withdraw_report(by=cast.owner, report=second, reason=" ")
    with pytest.raises(Refused, match="does not allow"):
        actions.withdraw_report(by=cast.tech, report=second, reason="Because.")
    withdrawal = actions.withdraw_report(by=cast.owner, report=second, reason="Wrong engine hours.")
    assert withdrawal.report == second
    with pytest.raises(Refused, match="already"):
        actions.withdraw_report(by=cast.owner, report=second, reason="Again.")
    third = actions.draft_report(by=cast.tech, job=job)
    assert third.supersedes == second
    assert "Wrong engine hours." in third.why_revised
    cast.vessel.refresh_from_db()
    assert broken_link(cast.vessel) is None


def test_a_draft_can_be_thrown_away_but_not_while_it_is_signed(cast, job):
    draft = scene.reviewed(cast, job)
    scene.sign(cast.owner, draft)
    with pytest.raises(Refused, match="can no longer be changed"):
        actions.discard_draft(by=cast.tech, draft=draft)
    actions.cancel_signing(by=cast.owner, draft=draft)
    actions.discard_draft(by=cast.tech, draft=draft)
    assert not ReportDraft.objects.exists()


def test_the_stored_file_is_checked_before_it_is_handed_out(job, issue, settings):
    report = issue(job)
    file = Path(settings.MEDIA_ROOT) / stored_name(report.pdf_sha256)
    data = stored_pdf(report)
    file.unlink()
    with pytest.raises(Refused, match="missing"):
        stored_pdf(report)
    file.write_bytes(data[:-1] + b"x")
    with pytest.raises(Refused, match="not what was signed"):
        stored_pdf(report)


def test_the_file_is_safe_from_a_power_cut_before_the_report_is_written_down(job, issue, settings, monkeypatch):
    with safe_when_written(IssuedReport, "pdf_sha256", Path(settings.MEDIA_ROOT), monkeypatch) as found:
        report = issue(job)
    assert found == {report.pdf_sha256: True}


def test_building_takes_the_same_queries_however_much_there_is(cast, job, django_assert_num_queries):
    from django.test.utils import CaptureQueriesContext

    draft = scene.drafted(cast, job)
    with CaptureQueriesContext(connection) as few:
        build_findings(draft)
    for day in range(20, 32):
        codes = [story.seen(story.Code(story.CodeSystem.SPN, f"{day * 10 + n}-3")) for n in range(4)]
        story.scan(cast, day, 800 + day, codes, job=job)
        story.scan(cast, day, 800 + day, codes, job=job, unit=cast.starboard_unit)
    draft = ReportDraft.objects.get(pk=draft.pk)
    with CaptureQueriesContext(connection) as many:
        findings = build_findings(draft)
    assert len(findings.faults) > 90
    assert len(many) <= len(few) + 1  # the draft's own job is read anew


def test_what_an_older_worker_drew_is_not_issued_after_the_report_was_signed_anew(
    cast, job, monkeypatch, django_capture_on_commit_callbacks
):
    """Canceled, worded anew and signed again while the first was drawn: only what was signed last may come out."""
    draft = scene.reviewed(cast, job)
    with django_capture_on_commit_callbacks(execute=False):
        scene.sign(cast.owner, draft)
    put = issuing.store_pdf

    def signed_anew_meanwhile(data: bytes) -> None:
        monkeypatch.setattr(issuing, "store_pdf", put)
        put(data)
        again = actions.cancel_signing(by=cast.owner, draft=draft)
        again = actions.word_report(
            by=cast.tech, draft=again, seen_version=again.version, changes={"summary": "It was the sender after all."}
        )
        again = actions.review_report(by=cast.tech, draft=again, seen_version=again.version)
        with django_capture_on_commit_callbacks(execute=False):
            scene.sign(cast.owner, again)

    monkeypatch.setattr(issuing, "store_pdf", signed_anew_meanwhile)
    assert issuing.issue(draft.pk) is None
    assert not IssuedReport.objects.exists()
    report = issuing.issue(draft.pk)
    assert report is not None
    assert report.record == ReportDraft.objects.get(pk=draft.pk).record
    assert from_json(report.record).findings.summary == "It was the sender after all."
