"""The commands: making the shop's certificate, and writing a stored report to a file."""

from __future__ import annotations

import hashlib
import io

import pytest
from django.core.management import CommandError, call_command

from files.paper import signing
from findings.faults.models import Scan
from findings.reports.storage import stored_pdf
from tests.published.test_pdf_signature import with_another_title
from vessels.actions import amend_text


@pytest.fixture
def empty_var(settings, tmp_path):
    settings.SIGNING_P12, settings.SIGNING_P12_PASSWORD, settings.VAR = "", "", tmp_path
    return tmp_path


def test_a_certificate_is_made_once_for_the_owner_of_the_file_alone(db, empty_var):
    out = io.StringIO()
    call_command("make_certificate", stdout=out)
    file = empty_var / "signing" / "shop.p12"
    assert file.stat().st_mode & 0o777 == 0o600
    assert signing.shop_certificate().sha256 in out.getvalue()
    with pytest.raises(CommandError, match="already"):
        call_command("make_certificate")
    call_command("make_certificate", if_missing=True, stdout=out)
    before = signing.shop_certificate().sha256
    call_command("make_certificate", renew=True, stdout=out)
    assert signing.shop_certificate().sha256 != before
    assert len(list(file.parent.glob("*.p12"))) == 2


def test_a_certificate_made_with_a_password_opens_with_no_other(db, empty_var, settings):
    settings.SIGNING_P12_PASSWORD = "of-the-shop"
    call_command("make_certificate", stdout=io.StringIO())
    settings.SIGNING_P12_PASSWORD = "another"
    with pytest.raises(signing.CertificateMissing, match="does not open"):
        signing.shop_certificate()


def test_a_shop_s_own_certificate_is_never_overwritten(db, settings):
    with pytest.raises(CommandError, match="of your own"):
        call_command("make_certificate", renew=True)


def test_the_certificate_signs_documents_and_nothing_else(db, empty_var):
    certificate = signing.make_certificate("Marlin Creek Marine").signer.signing_cert
    assert certificate.key_usage_value.native == {"digital_signature", "non_repudiation"}
    assert certificate.ca is False or certificate.ca is None
    assert certificate.public_key.bit_size == 3072


def test_a_certificate_that_ran_out_is_refused(db, empty_var, monkeypatch):
    monkeypatch.setattr(signing, "YEARS", -1)
    with pytest.raises((signing.CertificateMissing, ValueError)):
        signing.make_certificate("Marlin Creek Marine")


def test_a_report_is_exported_byte_by_byte(job, issue, tmp_path):
    report = issue(job)
    out = tmp_path / "out.pdf"
    said = io.StringIO()
    call_command("export_report", report.number, out=out, stdout=said)
    assert hashlib.sha256(out.read_bytes()).hexdigest() == report.pdf_sha256
    assert report.pdf_sha256 in said.getvalue()
    with pytest.raises(CommandError, match="no report"):
        call_command("export_report", "9999-9", out=out)
    with pytest.raises(CommandError, match="cannot be written"):
        call_command("export_report", report.number, out=tmp_path / "no" / "out.pdf")


def test_a_file_is_checked_to_the_last_byte(job, issue, tmp_path):
    report = issue(job)
    file, said = tmp_path / "brought.pdf", io.StringIO()
    data = stored_pdf(report)
    file.write_bytes(data)
    call_command("check_report", file, stdout=said)
    assert f"Report: {report.number}" in said.getvalue()
    assert "corrected or voided" not in said.getvalue()
    amend_text(by=report.signer, entry=Scan.objects.earliest("entry__happened_at").entry, text="Read at the dock.")
    call_command("check_report", file, stdout=said)
    assert "1 entry of the record that it rests on was corrected or voided after it was signed, on " in said.getvalue()
    for changed in (data + b"\n", with_another_title(data), b"\n" + data):
        file.write_bytes(changed)
        with pytest.raises(CommandError, match=f"Altered. This file was made from report {report.number}"):
            call_command("check_report", file)
    file.write_bytes(b"%PDF-1.7 of somebody else")
    with pytest.raises(CommandError, match="Not ours"):
        call_command("check_report", file)
    with pytest.raises(CommandError, match="cannot be read"):
        call_command("check_report", tmp_path / "none.pdf")
