"""Papers in the store: drawn and signed once, after they are made, and kept for good."""

from __future__ import annotations

import re
from collections.abc import Iterator

from django.db import transaction

from billing.documents.frozen import thawed
from billing.invoices.models import CreditNote, DrawnPaper, Invoice
from billing.invoices.paper import draw_document
from billing.invoices.record import Document
from files import store
from files.paper import signing
from files.paper.drawing import Stationery
from files.paper.kept import read_kept
from files.paper.later import Finishing
from staff.queries import shop_profile


def pdf_of(paper: Invoice | CreditNote) -> bytes | None:
    """The PDF as it was signed; without a signature, and not kept, where the shop has no certificate.

    None where it was not drawn yet.

    Raises:
        Refused: what is kept is missing or damaged.
    """
    kept = _kept(paper)
    if kept is not None:
        return _read(kept)
    return _unsigned_pdf(paper) if signing.why_no_certificate() else None


def _unsigned_pdf(paper: Invoice | CreditNote) -> bytes:
    document = thawed(Document, paper.record)
    stationery = Stationery.of_shop(shop_profile())
    return draw_document(document, stationery, record=paper.record, is_signed=False).data


def file_paper(paper: Invoice | CreditNote, *, finishing: Finishing = transaction.atomic) -> None:
    """Draw, sign and keep the PDF of an invoice or a credit note, unless it is kept or nothing is there to sign with.

    ``finishing`` gives the transaction that stores it.

    Raises:
        Refused: it cannot be drawn or signed as things are.
    """
    if _kept(paper) is not None:
        return
    try:
        certificate = signing.shop_certificate()
    except signing.CertificateMissing:
        return
    document = thawed(Document, paper.record)
    drawn = draw_document(document, Stationery.of_shop(shop_profile()), record=paper.record)
    signed = signing.sign(
        drawn.data,
        certificate,
        name=document.shop.name,
        reason=f"{document.kind.capitalize()} {document.number}",
        location=document.shop.name,
        contact=document.shop.email,
    )
    digest = store.keep_bytes(signed.data).digest
    with finishing():
        DrawnPaper.objects.bulk_create(
            [
                DrawnPaper(
                    invoice=paper if isinstance(paper, Invoice) else None,
                    credit=paper if isinstance(paper, CreditNote) else None,
                    pdf_sha256=digest,
                    pdf_size=len(signed.data),
                    pages=drawn.pages,
                    signature_sha256=signed.signature_sha256,
                    certificate_sha256=certificate.sha256,
                    level=signed.level,
                )
            ],
            ignore_conflicts=True,  # somebody drew it at the same moment, and was first
        )


def why_unsigned(paper: Invoice | CreditNote) -> str:
    """Why the PDF would be drawn without a signature; empty where it is signed."""
    return "" if _kept(paper) is not None else signing.why_no_certificate()


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
