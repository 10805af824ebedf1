"""What the shop's invoices rest on: terms, notices, accounts."""

from __future__ import annotations

from billing.documents.models import Notice as NoticeRow
from billing.invoices.models import BillingProfile, CustomerBilling
from billing.invoices.record import Notice
from vessels.models import Customer


def billing_profile() -> BillingProfile:
    """What the shop's invoices say, made with defaults the first time."""
    profile, _ = BillingProfile.objects.get_or_create(pk=1)
    return profile


def terms_of(customer: Customer) -> tuple[int, CustomerBilling | None]:
    """Days until an invoice of a customer is due, and what else is known for their invoices."""
    own = CustomerBilling.objects.filter(customer=customer).first()
    if own is not None and own.terms_days is not None:
        return own.terms_days, own
    return billing_profile().terms_days, own


def notices_on_invoices() -> list[Notice]:
    """The notices that are printed on an invoice, in order."""
    rows = NoticeRow.objects.filter(on_invoices=True).order_by("position", "pk")
    return [Notice(title=row.title, text=row.text, citation=row.citation) for row in rows]
