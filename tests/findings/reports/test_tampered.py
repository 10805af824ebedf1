"""What a superuser of the database changed behind a report: the public page says so, and so does verify_log."""

from __future__ import annotations

import hashlib
import io
import json
from collections.abc import Iterator
from contextlib import contextmanager

import pytest
from django.core.management import CommandError, call_command
from django.db import connection
from django.urls import reverse

from findings.reports import actions
from findings.reports.models import IssuedReport, ReportWithdrawal
from findings.reports.storage import stored_pdf
from findings.reports.verifying import CheckResult, check_file, check_number, was_signed_with
from vessels.actions import write_note
from vessels.models import LogEntry, Vessel

REASON = "Hours were misread."


@contextmanager
def behind_the_log() -> Iterator[None]:
    """What only the owner of the database server can do."""
    with connection.cursor() as cursor:
        cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")
        cursor.execute("SET LOCAL session_replication_role = replica")
        yield
        cursor.execute("SET LOCAL session_replication_role = origin")


def page_of(client, report: IssuedReport) -> str:
    return client.get(reverse("reports:verify_code", args=[report.number, report.code])).content.decode()


def assert_said(client, number: str, code: str) -> None:
    page = client.get(reverse("reports:verify_code", args=[number, code])).content.decode()
    assert "Not as it was written" in page
    for word in ("Authentic", "and it is valid", "is no longer valid", "ask for that one"):
        assert word not in page
    with pytest.raises(CommandError, match="not what was written"):
        call_command("verify_log", stdout=io.StringIO())


COLUMNS = {
    "pages": 99, "level": None, "signed_at": "2020-01-01T00:00:00Z", "certificate_sha256": "0" * 64,
    "signature_sha256": "0" * 64, "pdf_size": 1, "sequence": 7, "signer_id": -1, "number": "9999-1",
    "code": "", "job_id": -1,
}  # fmt: skip


@pytest.mark.parametrize("column", COLUMNS)
def test_no_column_of_an_issued_report_can_be_changed(client, report, cast, column):
    value = {"signer_id": cast.desk.pk, "code": report.code[:-5] + report.code[:5][::-1]}.get(column, COLUMNS[column])
    if column == "job_id":
        value = _another_job(report)
    number, code = report.number, report.code
    with behind_the_log():
        IssuedReport.objects.filter(pk=report.pk).update(**{column: value})
    changed = IssuedReport.objects.get(pk=report.pk)
    if column in ("number", "code"):
        assert check_number(changed.number, changed.code).result is CheckResult.NOT_AS_WRITTEN
        assert check_number(number, code).result is CheckResult.NOT_AS_WRITTEN
    else:
        assert_said(client, changed.number, changed.code)
    assert check_file(stored_pdf(changed)).result is CheckResult.NOT_AS_WRITTEN


def _another_job(report: IssuedReport) -> int:
    job = report.job
    job.pk, job.number = None, job.number + 1
    job.save(force_insert=True)
    return int(job.pk)


@pytest.mark.parametrize("with_its_digest", [False, True])
def test_the_record_behind_the_page_cannot_be_changed(client, report, with_its_digest):
    record = report.record.replace('"hours":', '"hours": ', 1)
    told = {"record": record}
    if with_its_digest:
        told["record_sha256"] = hashlib.sha256(record.encode()).hexdigest()
    with behind_the_log():
        IssuedReport.objects.filter(pk=report.pk).update(**told)
    assert_said(client, report.number, report.code)


def test_a_withdrawal_cannot_be_taken_away(client, report, cast):
    actions.withdraw_report(by=cast.owner, report=report, reason=REASON)
    write_note(by=cast.tech, vessel=cast.vessel, text="Later.")
    with behind_the_log():
        withdrawal = ReportWithdrawal.objects.get()
        ReportWithdrawal.objects.all().delete()
    assert_said(client, report.number, report.code)
    with behind_the_log():
        LogEntry.objects.filter(pk=withdrawal.pk).delete()
    assert_said(client, report.number, report.code)


def test_a_last_withdrawal_taken_away_leaves_a_gap_too(client, report, cast):
    actions.withdraw_report(by=cast.owner, report=report, reason=REASON)
    with behind_the_log():
        entry = ReportWithdrawal.objects.get().entry
        ReportWithdrawal.objects.all().delete()
        LogEntry.objects.filter(pk=entry.pk).delete()
    assert_said(client, report.number, report.code)
    with behind_the_log():
        Vessel.objects.filter(pk=cast.vessel.pk).update(log_position=entry.position - 1)
    assert_said(client, report.number, report.code)


def test_the_reason_of_a_withdrawal_cannot_be_changed(client, report, cast):
    actions.withdraw_report(by=cast.owner, report=report, reason=REASON)
    assert REASON in page_of(client, report)
    with behind_the_log():
        ReportWithdrawal.objects.update(reason="No reason.")
    assert_said(client, report.number, report.code)


def test_a_withdrawal_cannot_be_made_beside_the_log(client, report, cast):
    note = write_note(by=cast.tech, vessel=cast.vessel, text="Nothing of it.")
    with behind_the_log(), connection.cursor() as cursor:
        cursor.execute(
            f"INSERT INTO {ReportWithdrawal._meta.db_table} (entry_id, report_id, reason) VALUES (%s, %s, %s)",
            [note.pk, report.pk, "Forged."],
        )
    assert_said(client, report.number, report.code)


def test_a_report_that_was_taken_away_was_not_never_issued(client, report):
    with behind_the_log():
        IssuedReport.objects.filter(pk=report.pk).delete()
    assert_said(client, report.number, report.code)
    assert check_number("9999-1", report.code).result is CheckResult.NOT_OURS


def test_a_correction_since_cannot_be_hidden(client, report, cast):
    noted = write_note(by=cast.tech, vessel=cast.vessel, text="Something else.")
    with behind_the_log():
        LogEntry.objects.filter(pk=noted.pk).update(recorded_at="2020-01-01T00:00:00Z")
    assert_said(client, report.number, report.code)


def test_what_is_as_it_was_written_stays_authentic(client, report, cast):
    write_note(by=cast.tech, vessel=cast.vessel, text="Later.")
    assert "Authentic" in page_of(client, report)
    assert check_file(stored_pdf(report)).result is CheckResult.AUTHENTIC


def test_what_only_looks_like_a_code_in_the_record_is_none(report):
    facts = json.loads(report.record)
    facts["findings"]["summary"] = "12345-67890"
    record = json.dumps(facts)
    assert not was_signed_with(record, "12345-67890")
    assert was_signed_with(record, report.code)
    assert not was_signed_with(record, report.code[:4])


@pytest.mark.parametrize("record", ["", "{}", "[]", '{"format": "condition-report/3"}', "not JSON"])
def test_a_record_that_cannot_be_read_is_not_as_it_was_written(record):
    assert was_signed_with(record, "ACDEF-GHJKM")
