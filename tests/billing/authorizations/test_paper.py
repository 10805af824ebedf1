"""An authorization on paper: PDF/A-3A and PDF/UA-1, with the text that was signed, the drawing, what was declined."""

from __future__ import annotations

import subprocess
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from billing.authorizations.actions import note_authorization, withdraw_authorization
from billing.authorizations.filing import file_paper, kept_papers, kept_pdf
from billing.authorizations.models import Authorization
from billing.authorizations.queries import authorizations_of, standing_of
from billing.authorizations.signing import keep_picture
from billing.estimates.actions import add_estimate_line, give_estimate, start_estimate
from billing.estimates.queries import worked_out
from commands.background import do_now
from commands.models import BackgroundTask
from files.paper import signing
from shopfloor.demo.promising import signed_sheet
from tests.billing.signing import sign_answer
from tests.cast import Cast
from tests.published.vera import broken_rules
from workorders.models import Job

pytestmark = pytest.mark.django_db


def words_of(data: bytes) -> str:
    done = subprocess.run(["pdftotext", "-", "-"], input=data, capture_output=True, check=True, timeout=60)
    return " ".join(done.stdout.decode().split())


def laid_out(path: Path) -> str:
    """The text of a PDF, of each row what stands on the paper."""
    command = ["pdftotext", "-layout", str(path), "-"]
    return subprocess.run(command, capture_output=True, check=True, timeout=60).stdout.decode()


def drawn(cast: Cast, job: Job) -> Authorization:
    """A signature on the screen, for a line of which the other was declined."""
    made = start_estimate(by=cast.desk, job=job)
    for words, price in [("Replace the pump", 400), ("Launch", 50)]:
        add_estimate_line(
            by=cast.desk, estimate=made, told={"kind": "fee", "description": words, "unit_price": Decimal(price)}
        )
    total = worked_out(made, currency="USD").figures.base.total
    return sign_answer(cast.desk, give_estimate(by=cast.desk, estimate=made, how="shown", seen_total=total))


def by_phone(cast: Cast, job: Job) -> Authorization:
    standing = standing_of(job)
    return note_authorization(
        by=cast.desk, job=job, amount=Decimal(60), how="phone", who="Wes Harrow", reached="(555) 555-0123",
        adds=standing.limit.authorized is not None, said_at=timezone.now(), words="The seal as well",
        seen_total=standing.total, seen_authorized=standing.limit.authorized,
    )  # fmt: skip


@pytest.fixture
def shelf(settings: Any, tmp_path: Path) -> None:
    settings.MEDIA_ROOT, settings.VAR = str(tmp_path / "media"), tmp_path
    settings.SIGNING_P12, settings.SIGNING_P12_PASSWORD = "", "of-the-test"


def test_the_paper_says_what_was_agreed_and_is_archive_and_accessible(
    cast: Cast, job: Job, shelf: None, tmp_path: Path
) -> None:
    signed, phoned = drawn(cast, job), by_phone(cast, job)
    keep_picture(phoned, signed_sheet("Estimate 1042", "Wes Harrow"))
    phoned.save()
    withdraw_authorization(by=cast.desk, authorization=phoned, reason="Changed his mind")
    client = Client()
    client.force_login(cast.desk)

    def address(one: Authorization) -> str:
        return reverse("authorizations:pdf", args=[job.number, one.pk])

    def pdf(one: Authorization) -> bytes:
        answer = client.get(address(one))
        assert answer.headers["Content-Type"] == "application/pdf"
        return bytes(answer.content)

    def draw(one: Authorization) -> bytes:
        assert "Waiting to be drawn" in client.get(address(one)).content.decode()
        do_now(BackgroundTask.objects.get(kind="draw_authorization", subject=str(one.pk), state="asked"))
        return pdf(one)

    unsigned = draw(signed)
    assert pdf(signed) == unsigned
    assert list(signing.signature_digests(unsigned)) == []  # without a certificate it is not signed, and says so
    assert "Signed electronically by the shop" not in words_of(unsigned)
    assert BackgroundTask.objects.filter(kind="draw_authorization", subject=str(phoned.pk)).count() == 1
    signing.make_certificate("Our shop")
    files = {}
    assert "Not drawn yet" in client.get(address(signed)).content.decode()  # signed, it is another paper
    assert client.post(address(signed)).status_code == 302
    for name, one in (("drawn", signed), ("phone", phoned)):
        data = draw(one)
        assert pdf(one) == data
        assert len(list(signing.signature_digests(data))) == 1
        files[name] = tmp_path / f"{name}.pdf"
        files[name].write_bytes(data)
    first, second = (words_of(files[name].read_bytes()) for name in ("drawn", "phone"))
    for said in (
        "signed on the screen", "$400.00", "Agreed to", "Replace the pump", "Not agreed to", "Launch",
        "I agree to:", "I do not want now:", "Signed by: Wes Harrow", "Signature of Wes Harrow", "Noted by Dora Quill",
    ):  # fmt: skip
        assert said in first, said
    in_lines = "\n".join(" ".join(line.split()) for line in laid_out(files["drawn"]).splitlines())
    for said in ("Replace the pump $400.00", "In all, with tax $400.00"):  # nothing runs over the edge of the paper
        assert said in in_lines, said
    assert signed.sheet_sha256 in first.replace(" ", "")
    assert signed.signature_sha256 in first.replace(" ", "")
    assert "Withdrawn" not in first
    for said in (
        "Withdrawn: this does not stand any more", "Changed his mind", "by phone, (555) 555-0123", "The seal as well",
        "$60.00, on top of what was authorized before", "The sheet that Wes Harrow signed",
    ):  # fmt: skip
        assert said in second, said
    assert [one.withdrawn_at is None for one in authorizations_of(job)] == [True, False]
    assert broken_rules(*files.values()) == {str(path): {"3a": [], "ua1": []} for path in files.values()}


def test_a_withdrawn_one_is_another_paper_and_each_is_kept_as_it_was(cast: Cast, job: Job, shelf: None) -> None:
    made = by_phone(cast, job)
    file_paper(made)
    stands = kept_pdf(made)
    file_paper(made)
    assert stands is not None
    assert kept_pdf(made) == stands
    withdraw_authorization(by=cast.desk, authorization=made, reason="Changed his mind")
    assert kept_pdf(made) is None
    file_paper(made)
    withdrawn = kept_pdf(made)
    assert withdrawn is not None
    assert "does not stand any more" in words_of(withdrawn)
    assert "does not stand any more" not in words_of(stands)
    sizes = [(size, called) for _, size, called in kept_papers()]
    called = f"the authorization of job {job.number}"
    assert sizes == [(len(stands), called), (len(withdrawn), called)]


def test_a_paper_that_is_damaged_is_not_handed_out(cast: Cast, job: Job, shelf: None, settings: Any) -> None:
    made = by_phone(cast, job)
    file_paper(made)
    (kept,) = [path for path in Path(settings.MEDIA_ROOT).rglob("*") if path.is_file()]
    kept.chmod(0o600)
    kept.write_bytes(b"%PDF-1.7 altered")
    client = Client()
    client.force_login(cast.desk)
    page = client.get(reverse("authorizations:pdf", args=[job.number, made.pk]), follow=True)
    assert f"The stored file of the authorization of job {job.number} is not what was signed" in page.content.decode()


def test_the_paper_is_asked_for_as_it_is_noted_and_as_it_is_withdrawn(cast: Cast, job: Job) -> None:
    made = by_phone(cast, job)
    asked = BackgroundTask.objects.filter(kind="draw_authorization", subject=str(made.pk))
    assert asked.count() == 1
    asked.delete()
    withdraw_authorization(by=cast.desk, authorization=made, reason="Changed his mind")
    assert asked.count() == 1
