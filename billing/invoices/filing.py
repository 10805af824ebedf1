"""Papers in the store: drawn and signed once, when somebody first asks for one, and kept for good."""

from __future__ import annotations

import re
from collections.abc import Iterator

from django.db import IntegrityError, transaction

from billing.documents.frozen import thawed
from billing.invoices.models import CreditNote, DrawnPaper, Invoice
from billing.invoices.paper import draw_document
from billing.invoices.record import Document
from files import store
from files.paper import signing
from files.paper.drawing import Stationery
from files.paper.kept import read_kept
from staff.queries import shop_profile


def pdf_of(paper: Invoice | CreditNote) -> bytes:
    """The PDF of an invoice or a credit note: signed where the shop has a certificate, then kept and never drawn again.

    Raises:
        Refused: it cannot be drawn or signed as things are, or what is kept is damaged.
    """
    kept = _kept(paper)
    if kept is not None:
        return _read(kept)
    document = thawed(Document, paper.record)
    stationery = Stationery.of_shop(shop_profile())
    try:
        certificate = signing.shop_certificate()
    except signing.CertificateMissing:
        return draw_document(document, stationery, record=paper.record, is_signed=False).data
    drawn = draw_document(document, stationery, record=paper.record)
    signed = signing.sign(
        drawn.data,
        certificate,
        name=document.shop.name,
        reason=f"{document.kind.capitalize()} {document.number}",
        location=document.shop.name,
        contact=document.shop.email,
    )
    digest = store.keep_bytes(signed.data).digest
    try:
        with transaction.atomic():
            DrawnPaper.objects.create(
                invoice=paper if isinstance(paper, Invoice) else None,
                credit=paper if isinstance(paper, CreditNote) else None,
                pdf_sha256=digest,
                pdf_size=len(signed.data),
                pages=drawn.pages,
                signature_sha256=signed.signature_sha256,
                certificate_sha256=certificate.sha256,
                level=signed.level,
            )
    except IntegrityError:  # somebody asked at the same moment, and was first
        first = _kept(paper)
        if first is None:
            raise
        return _read(first)
    return signed.data


def why_unsigned(paper: Invoice | CreditNote) -> str:
    """Why the PDF would be drawn without a signature; empty where it is signed."""
    if _kept(paper) is not None:
        return ""
    try:
        signing.shop_certificate()
    except signing.CertificateMissing as missing:
        return missing.sentence
    return ""


def kept_papers() -> Iterator[tuple[str, int | None, str]]:
    """The file of every paper that was drawn, for ``files.references``."""
    for row in DrawnPaper.objects.select_related("invoice", "credit").order_by("pk"):
        yield row.pdf_sha256, row.pdf_size, _called(row)


def safe_name(number: str) -> str:
    """A number as the name of a file."""
    return re.sub(r"[^A-Za-z0-9.-]", "-", number)


def _kept(paper: Invoice | CreditNote) -> DrawnPaper | None:
    by = {"invoice": paper} if isinstance(paper, Invoice) else {"credit": paper}
    return DrawnPaper.objects.filter(**by).first()


def _read(kept: DrawnPaper) -> bytes:
    return read_kept(kept.pdf_sha256, _called(kept))


def _called(kept: DrawnPaper) -> str:
    return f"invoice {kept.invoice}" if kept.invoice else f"credit note {kept.credit}"
