"""The paper of an estimate that was given: drawn from its record alone, signed, and kept."""

from __future__ import annotations

import zoneinfo
from datetime import datetime
from typing import Any

from django.db import transaction
from django.template.loader import render_to_string
from django.utils import timezone

from billing.estimates.models import Estimate
from billing.estimates.record import thawed
from files import store
from files.paper import signing
from files.paper.drawing import AttachedFile, Drawn, Stationery, draw
from files.paper.kept import read_kept
from files.paper.later import Finishing
from files.paper.pictures import png_address
from staff.queries import shop_profile

RECORD_NAME = "estimate.json"
STYLES = ("css/billing/paper.css",)


def paper_html(record: dict[str, Any], stationery: Stationery) -> str:
    """The whole document as HTML."""
    context = {
        "record": record,
        "given_at": datetime.fromisoformat(record["given_at"]),
        "logo": png_address(stationery.logo_png),
    }
    with timezone.override(zoneinfo.ZoneInfo(record["time_zone"])):
        return render_to_string("billing/estimates/paper/document.html", context)


def draw_pdf(record: dict[str, Any], stationery: Stationery, *, data: bytes) -> Drawn:
    """The record as a PDF, ready to be signed; ``data`` is its JSON as it was frozen, which is attached."""
    return draw(
        paper_html(record, stationery),
        size=stationery.size,
        styles=STYLES,
        signature_title=f"Signature of {record['shop']['name']} on estimate {record['number']}",
        attachments=[AttachedFile(RECORD_NAME, data, "The same estimate as data")],
    )


def file_paper(estimate: Estimate, *, finishing: Finishing = transaction.atomic) -> Estimate:
    """Draw, sign and keep the paper, unless it is kept already. ``finishing`` gives the transaction that stores it.

    Raises:
        Refused: it cannot be drawn or signed as things are; the estimate is given all the same.
    """
    if estimate.pdf_sha256:
        return estimate
    record = thawed(estimate)
    certificate = signing.shop_certificate()
    drawn = draw_pdf(record, Stationery.of_shop(shop_profile()), data=estimate.snapshot.encode())
    shop = record["shop"]
    signed = signing.sign(
        drawn.data,
        certificate,
        name=shop["name"],
        reason=f"Estimate {record['number']} version {record['version']}",
        location=shop["name"],
        contact=shop["email"],
    )
    digest = store.keep_bytes(signed.data).digest
    with finishing():  # somebody may have drawn it at the same moment: who was first counts
        Estimate.objects.filter(pk=estimate.pk, pdf_sha256="").update(pdf_sha256=digest, pdf_size=len(signed.data))
    estimate.refresh_from_db()
    return estimate


def take_paper(estimate: Estimate) -> bytes | None:
    """The paper exactly as it was signed; None where it was not drawn yet.

    Raises:
        Refused: the file is missing, or is not what was signed.
    """
    if not estimate.pdf_sha256:
        return None
    return read_kept(estimate.pdf_sha256, f"estimate {thawed(estimate)['number']}")
