"""The paper of an estimate: PDF/A-3A and PDF/UA-1, signed, drawn from its record alone, kept once."""

from __future__ import annotations

import io
import subprocess
from decimal import Decimal
from pathlib import Path
from typing import Any

import pikepdf
import pytest
from django.test import Client
from django.urls import reverse

from billing.documents.actions import add_notice
from billing.estimates.actions import (
    add_estimate_line,
    add_estimate_option,
    change_estimate_terms,
    give_estimate,
    start_estimate,
)
from billing.estimates.models import Estimate
from billing.estimates.paper import file_paper, take_paper
from billing.estimates.queries import kept_papers, worked_out
from commands.background import do_now
from commands.models import BackgroundTask
from commands.refusals import Refused
from files.paper import signing
from tests.cast import Cast
from tests.published.vera import broken_rules
from workorders.actions import add_line
from workorders.models import Job
from workorders.reckoning import ChargeKind
from workorders.taxes.actions import add_tax

D = Decimal
pytestmark = pytest.mark.django_db


def give(cast: Cast, made: Estimate) -> Estimate:
    total = worked_out(made, currency="USD").figures.base.total
    return give_estimate(by=cast.desk, estimate=made, how="printed", seen_total=total)


def full(cast: Cast, job: Job) -> Estimate:
    """Two versions with everything that may stand on an estimate; the second is answered."""
    add_tax(by=cast.owner, name="State sales tax", percent=D(6), kinds=[ChargeKind.PART, ChargeKind.FEE])
    add_notice(by=cast.owner, title="Lien", text="We may keep the boat.\n\nLocal law decides.", on_estimates=True)
    second = add_line(by=cast.desk, job=job, concern="Bilge pump runs often")
    made = start_estimate(by=cast.desk, job=job)
    lines: list[dict[str, Any]] = [
        {"kind": "labor", "description": "Find the cause", "quantity": D("2.5"), "job_line": job.lines.first()},
        {"kind": "part", "description": "Filter " + "element " * 12, "unit_price": D("48.75"),
         "discount_percent": D(10), "job_line": second},
        {"kind": "fee", "description": "Shop supplies", "percent": D(8), "cap": D(45)},
        {"kind": "fee", "description": "Storage", "feet": D(34), "days": 12, "unit_price": D("2.50"), "taxable": False},
    ]  # fmt: skip
    for name in ("Rebuild", "Exchange"):
        option = add_estimate_option(by=cast.desk, estimate=made, name=name, alternatives="Pump")
        lines.append({"kind": "part", "description": name, "unit_price": D(900), "option": option})
    for told in lines:
        add_estimate_line(by=cast.desk, estimate=made, told=told)
    changes = {
        "words": "As we said.\n\nYours",
        "deposit": D(200),
        "contingency_percent": D(10),
        "discount_amount": D(20),
    }
    change_estimate_terms(by=cast.desk, estimate=made, seen_version=1, changes=changes)
    give(cast, made)
    later = start_estimate(by=cast.desk, job=job)
    add_estimate_line(
        by=cast.desk, estimate=later, told={"kind": "sublet", "description": "Survey", "unit_price": D(250)}
    )
    return give(cast, later)


@pytest.fixture
def _shelf(settings: Any, tmp_path: Path) -> None:
    settings.MEDIA_ROOT, settings.VAR = str(tmp_path / "media"), tmp_path
    settings.SIGNING_P12, settings.SIGNING_P12_PASSWORD = "", "of-the-test"


def words_of(data: bytes) -> str:
    done = subprocess.run(["pdftotext", "-", "-"], input=data, capture_output=True, check=True, timeout=60)
    return " ".join(done.stdout.decode().split())


@pytest.mark.usefixtures("_shelf")
def test_the_paper_says_it_all_and_is_archive_and_accessible(cast: Cast, job: Job, tmp_path: Path) -> None:
    estimate = full(cast, job)
    with pytest.raises(Refused, match="no certificate to sign with yet"):
        file_paper(estimate)
    client, address = signed_in(cast), reverse("estimates:pdf", args=[job.number, 2])
    asked = BackgroundTask.objects.filter(kind="draw_estimate", subject=str(estimate.pk))
    assert "Waiting to be drawn" in client.get(address).content.decode()
    do_now(asked.get())
    page = client.get(address).content.decode()
    assert ("The shop has no certificate" in page, "Draw it" in page) == (True, False)  # it would not help
    signing.make_certificate("Our shop")
    assert "Draw it" in client.get(address).content.decode()
    assert client.post(address).status_code == 302
    do_now(asked.get(state="asked"))
    estimate.refresh_from_db()
    data, first = take_paper(estimate), estimate.pdf_sha256
    assert data is not None
    file_paper(estimate)
    assert estimate.pdf_sha256 == first
    assert list(kept_papers()) == [(first, len(data), f"estimate {job.number}, version 2")]
    words = words_of(data)
    for said in (
        f"No. {job.number}, version 2", "What changed since version 1", "New: Survey, $250.00.", "2.5 h at $120.00",
        "$48.75 less a discount of $4.88 (10 %)", "8 % of labor and parts, at most $45.00", "34 ft × 12 days at $2.50",
        "not taxed", "Discount −$20.00", "State sales tax, 6 % of", "Total without options", "Deposit asked", "$200.00",
        "Contingency, 10 %: no part of the total", "Rebuild (Pump: one of these)", "Total with this option",
        "We may keep the boat.", "It is no price that was agreed on until you authorize it", "Local law decides",
        "Given for Our shop", "Dora Quill",
    ):  # fmt: skip
        assert said in words, said
    with pikepdf.open(io.BytesIO(data)) as pdf:
        attached = pdf.attachments["estimate.json"].get_file().read_bytes()
        assert str(pdf.docinfo["/Title"]) == f"Estimate {job.number}, version 2"
    assert attached.decode() == estimate.snapshot
    assert len(list(signing.signature_digests(data))) == 1
    page = signed_in(cast).get(reverse("estimates:pdf", args=[job.number, 2]))
    assert (page.content, page.headers["Content-Type"]) == (data, "application/pdf")
    file = tmp_path / "estimate.pdf"
    file.write_bytes(data)
    assert broken_rules(file)[str(file)] == {"3a": [], "ua1": []}


@pytest.mark.usefixtures("_shelf")
def test_a_paper_that_was_altered_is_not_handed_out(cast: Cast, job: Job, tmp_path: Path) -> None:
    made = start_estimate(by=cast.desk, job=job)
    add_estimate_line(by=cast.desk, estimate=made, told={"kind": "fee", "description": "Haul-out", "unit_price": D(90)})
    signing.make_certificate("Our shop")
    estimate = file_paper(give(cast, made))
    (kept,) = [path for path in (tmp_path / "media").rglob("*") if path.is_file()]
    kept.chmod(0o600)
    kept.write_bytes(b"%PDF-1.7 altered")
    with pytest.raises(Refused, match="is not what was signed"):
        take_paper(estimate)


def signed_in(cast: Cast) -> Client:
    client = Client()
    client.force_login(cast.desk)
    return client
