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
from billing.authorizations.models import Authorization
from billing.authorizations.queries import authorizations_of, standing_of
from billing.authorizations.signing import keep_picture
from billing.estimates.actions import add_estimate_line, give_estimate, start_estimate
from billing.estimates.queries import worked_out
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
        by=cast.desk, job=job, amount=Decimal(60), how="phone", who="Wes Harrow", reached="(555) 555-0123", adds=True,
        said_at=timezone.now(), words="The seal as well", seen_total=standing.total,
        seen_authorized=standing.limit.authorized,
    )  # fmt: skip


def test_the_paper_says_what_was_agreed_and_is_archive_and_accessible(
    cast: Cast, job: Job, settings: Any, tmp_path: Path
) -> None:
    settings.MEDIA_ROOT, settings.VAR = str(tmp_path / "media"), tmp_path
    settings.SIGNING_P12, settings.SIGNING_P12_PASSWORD = "", "of-the-test"
    signed, phoned = drawn(cast, job), by_phone(cast, job)
    keep_picture(phoned, signed_sheet("Estimate 1042", "Wes Harrow"))
    phoned.save()
    withdraw_authorization(by=cast.desk, authorization=phoned, reason="Changed his mind")
    client = Client()
    client.force_login(cast.desk)

    def pdf(one: Authorization) -> bytes:
        answer = client.get(reverse("authorizations:pdf", args=[job.number, one.pk]))
        assert answer.headers["Content-Type"] == "application/pdf"
        return bytes(answer.content)

    assert list(signing.signature_digests(pdf(signed))) == []  # without a certificate it is not signed, and says so
    assert "Signed electronically by the shop" not in words_of(pdf(signed))
    signing.make_certificate("Our shop")
    files = {}
    for name, one in (("drawn", signed), ("phone", phoned)):
        data = pdf(one)
        assert len(list(signing.signature_digests(data))) == 1
        files[name] = tmp_path / f"{name}.pdf"
        files[name].write_bytes(data)
    first, second = (words_of(files[name].read_bytes()) for name in ("drawn", "phone"))
    for said in (
        "signed on the screen", "$400.00", "Agreed to", "Replace the pump", "Not agreed to", "Launch",
        "I agree to:", "I do not want now:", "Signed by: Wes Harrow", "Signature of Wes Harrow", "Noted by Dora Quill",
    ):  # fmt: skip
        assert said in first, said
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
