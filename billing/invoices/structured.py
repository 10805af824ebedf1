"""An invoice as structured data inside the PDF: what EN 16931 needs of it, and what of that is not known."""

from __future__ import annotations

from billing.invoices.record import Document


def what_is_missing(document: Document) -> list[str]:
    """What an invoice lacks of what EN 16931 asks for, in words; empty where nothing does."""
    missing = []
    if not document.shop.country:
        missing.append("the shop’s country")
    if not (document.shop.registration or document.shop.vat_id):
        missing.append("the shop’s registration number, or its VAT number")
    if not document.customer.country:
        missing.append("the customer’s country")
    return missing
