"""Checking a report from outside: what is ours to the last byte, what was, and what never was."""

from __future__ import annotations

import io
import random

import pikepdf
import pytest
from django.test import Client
from django.urls import reverse

from findings.reports import actions, limiting, verifying
from findings.reports.models import IssuedReport
from findings.reports.report_status import statuses_of
from findings.reports.storage import stored_pdf
from findings.reports.verifying import CheckResult, check_file, check_number
from tests.findings.reports import scene
from tests.published.test_pdf_signature import with_another_title


def upload(client: Client, data: bytes, name: str = "report.pdf"):
    file = io.BytesIO(data)
    file.name = name
    return client.post(reverse("reports:verify"), {"file": file})


def test_the_file_as_signed_is_authentic(client, report):
    answer = upload(client, stored_pdf(report))
    assert answer.status_code == 200
    assert b"Authentic" in answer.content
    assert report.pdf_sha256.encode() in answer.content
    assert b"Orla Brandt" in answer.content


def test_what_is_shown_is_no_more_than_the_paper_says(client, report, cast):
    page = client.get(reverse("reports:verify_code", args=[report.number, report.code])).content.decode()
    assert "Authentic" in page
    for private in (cast.customer.name, "555-0123", "Thermostat"):
        assert private not in page


@pytest.mark.draws_its_paper
def test_any_changed_byte_is_altered_and_never_authentic(report):
    data = stored_pdf(report)
    dice = random.Random(7)
    places = [0, 9, len(data) // 2, len(data) - 2, data.rindex(b"/Contents <") + 40, data.rindex(b" code ") + 8]
    for place in places + [dice.randrange(len(data)) for _ in range(150)]:
        changed = bytearray(data)
        changed[place] ^= dice.randrange(1, 256)
        assert check_file(bytes(changed)).result is CheckResult.ALTERED, place


@pytest.mark.draws_its_paper
def test_appended_cut_and_saved_again_are_altered(report):
    data = stored_pdf(report)
    assert check_file(data + b"\n").result is CheckResult.ALTERED
    assert check_file(b"\n" + data).result is CheckResult.ALTERED
    assert check_file(data[: len(data) * 2 // 3]).result is CheckResult.ALTERED
    out = io.BytesIO()
    with pikepdf.open(io.BytesIO(data)) as pdf:
        del pdf.Root.AcroForm.Fields[0].V
        pdf.save(out, object_stream_mode=pikepdf.ObjectStreamMode.generate)
    again = check_file(out.getvalue())
    assert (again.result, again.report) == (CheckResult.ALTERED, report)


def test_a_changed_title_is_altered(report):
    """An update leaves every signed byte in place; the digest of the whole file does not."""
    again = check_file(with_another_title(stored_pdf(report)))
    assert (again.result, again.report) == (CheckResult.ALTERED, report)


def test_other_files_are_not_ours(client, report):
    other = io.BytesIO()
    with pikepdf.new() as pdf:
        pdf.add_blank_page()
        pdf.save(other)
    locked = io.BytesIO()
    with pikepdf.new() as pdf:
        pdf.add_blank_page()
        pdf.save(locked, encryption=pikepdf.Encryption(owner="a", user="b"))
    bomb = (
        b"%PDF-1.7\n"
        + b"1 0 obj <</Length 9>>\nstream\n"
        + __import__("zlib").compress(b"0" * 30_000_000)
        + b"\nendstream"
    )
    for data in (other.getvalue(), locked.getvalue(), b"%PDF-1.7 broken", bomb):
        assert check_file(data).result is CheckResult.NOT_OURS
    answer = upload(client, b"Dear customer, this is text.", "letter.txt")
    assert b"Not a PDF file" in answer.content
    assert b"This file is empty" in upload(client, b"").content
    assert client.post(reverse("reports:verify"), {}).status_code == 422


def test_a_file_that_is_too_large_is_refused_before_it_is_read(client, report, monkeypatch):
    monkeypatch.setattr("findings.reports.views.verify.MOST_BYTES", 1000)
    monkeypatch.setattr("findings.reports.views.verify.ENVELOPE", 2000)
    assert upload(client, b"%PDF-" + b"x" * 5000).status_code == 413
    assert upload(client, b"%PDF-" + b"x" * 1500).status_code == 413


def test_nothing_of_an_upload_is_kept(client, report, settings, tmp_path):
    from pathlib import Path

    before = sorted(Path(settings.MEDIA_ROOT).rglob("*"))
    upload(client, b"%PDF-1.7 " + b"x" * 4_000_000)
    assert sorted(Path(settings.MEDIA_ROOT).rglob("*")) == before


@pytest.mark.parametrize("spelling", ["{n}|{c}", " no.{n} |{low}", "{n}|{bare}"])
def test_number_and_code_are_found_as_people_type_them(client, report, spelling):
    typed = spelling.format(n=report.number, c=report.code, low=report.code.lower(), bare=report.code.replace("-", " "))
    number, code = typed.split("|")
    answer = client.get(reverse("reports:verify"), {"number": number, "code": code}, follow=True)
    assert b"Authentic" in answer.content


def test_a_wrong_code_and_a_number_that_is_not_there_read_the_same(client, report):
    wrong = client.get(reverse("reports:verify_code", args=[report.number, "AAAAA-AAAAA"])).content.decode()
    absent = client.get(reverse("reports:verify_code", args=["9999-1", "AAAAA-AAAAA"])).content.decode()
    assert "Not confirmed" in wrong
    assert "Not ours" not in wrong
    strip = lambda page: page.split("<main")[1].split("</main>")[0]  # noqa: E731
    assert strip(wrong) == strip(absent)


def test_half_an_answer_asks_for_the_rest(client, report):
    answer = client.get(reverse("reports:verify"), {"number": report.number, "code": ""})
    assert answer.status_code == 422
    assert report.number in answer.content.decode()


def test_superseded_and_withdrawn_are_told(client, report, cast, django_capture_on_commit_callbacks):
    draft = actions.revise_report(by=cast.manager, report=report)
    with django_capture_on_commit_callbacks(execute=True):
        scene.sign(cast.manager, scene.explained(cast, draft))
    second = IssuedReport.objects.get(draft=draft)
    page = client.get(reverse("reports:verify_code", args=[report.number, report.code])).content.decode()
    assert "Superseded" in page
    assert second.number in page
    assert second.code not in page
    actions.withdraw_report(by=cast.owner, report=second, reason="Hours were misread.")
    page = upload(client, stored_pdf(second)).content.decode()
    assert "Withdrawn" in page
    assert "Hours were misread." in page
    assert check_number(second.number, second.code).result is CheckResult.WITHDRAWN
    page = client.get(reverse("reports:verify_code", args=[report.number, report.code])).content.decode()
    assert "that one was withdrawn on" in page
    assert "This is what the report said when it was signed. It no longer stands." in page
    client.force_login(cast.owner)
    shop = client.get(reverse("reports:issued", args=[report.number])).content.decode()
    assert "that one was withdrawn on" in shop
    started = client.get(reverse("reports:job", args=[report.job.number])).content.decode()
    assert "No report of this job is valid now" in started
    assert "No report of this job yet" not in started
    assert "ask for that one" not in page


def test_guessing_is_slowed_down_but_finding_is_not(client, report):
    good = reverse("reports:verify_code", args=[report.number, report.code])
    for _ in range(limiting.CHECKS.most + 5):
        assert client.get(good).status_code == 200
    for n in range(limiting.CHECKS.most):
        assert client.get(reverse("reports:verify_code", args=[report.number, f"AAAAA-{n:05}"])).status_code == 200
    wrong = reverse("reports:verify_code", args=[report.number, "AAAAA-ZZZZZ"])
    assert client.get(wrong).status_code == 429
    assert b"Authentic" in client.get(good).content
    assert b"Authentic" in upload(client, stored_pdf(report)).content
    assert client.get(wrong, REMOTE_ADDR="192.0.2.9").status_code == 200


def test_files_to_look_through_are_few_at_one_address(client, report):
    altered = stored_pdf(report) + b"\n% more"
    statuses = [upload(client, altered).status_code for _ in range(limiting.CHECKS.most + 1)]
    assert statuses == [200] * limiting.CHECKS.most + [429]


def test_behind_a_proxy_each_visitor_is_counted_alone(client, report, settings):
    settings.TRUSTED_PROXIES = ["127.0.0.1"]
    wrong = reverse("reports:verify_code", args=[report.number, "AAAAA-AAAAA"])
    for _ in range(limiting.CHECKS.most):
        client.get(wrong, HTTP_X_FORWARDED_FOR="192.0.2.7")
    assert client.get(wrong, HTTP_X_FORWARDED_FOR="192.0.2.7").status_code == 429
    assert client.get(wrong, HTTP_X_FORWARDED_FOR="192.0.2.8").status_code == 200


def test_a_file_sent_by_another_site_is_refused(report):
    strict = Client(enforce_csrf_checks=True)
    assert upload(strict, b"%PDF-1.7").status_code == 403


def test_a_stranger_s_file_is_never_unpacked_without_bounds():
    assert verifying.MOST_UNPACKED * 2 < verifying.MOST_UNPACKED_IN_ALL < 100 * 1024 * 1024


def test_a_report_withdrawn_and_then_replaced_stays_withdrawn(client, report, cast, job, issue):
    """A newer one does not make good what was taken back: the warning comes first, the new one is named."""
    actions.withdraw_report(by=cast.owner, report=report, reason="Hours were misread.")
    draft = actions.draft_report(by=cast.tech, job=job)
    assert draft.supersedes == report
    second = issue(job)
    assert second.supersedes == report
    old = IssuedReport.objects.get(pk=report.pk)
    assert check_number(old.number, old.code).result is CheckResult.WITHDRAWN
    assert check_file(stored_pdf(old)).result is CheckResult.WITHDRAWN
    assert [(row.word, row.is_effective) for row in statuses_of(job)] == [("issued", True), ("withdrawn", False)]
    page = client.get(reverse("reports:verify_code", args=[old.number, old.code])).content.decode()
    assert "Withdrawn" in page
    assert "Hours were misread." in page
    assert second.number in page
