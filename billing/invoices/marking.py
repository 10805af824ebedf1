"""What of a job's charges is invoiced and credited, as the Lines tab shows it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any

from django.db.models import F, OuterRef

from billing.invoices.differing import causes
from billing.invoices.models import NOTHING, CreditNote
from billing.invoices.pricing import priced
from billing.invoices.queries.balances import summed
from web.addresses import address_of
from workorders.marks import Mark
from workorders.models import Charge, Job
from workorders.queries.sums import JobSum

COLUMNS: dict[str, Any] = {
    "on_invoice": F("invoiced__invoice"),
    "invoice_number": F("invoiced__invoice__number"),
    "invoice_total": F("invoiced__invoice__total"),
    "invoice_currency": F("invoiced__invoice__currency"),
    "invoice_credited": summed(CreditNote.objects.all(), "invoice", "total", of=OuterRef("invoiced__invoice")),
    "credit_number": F("credited__credit__number"),
}


def mark(charge: Charge) -> Mark | None:
    """On which invoice a charge stands, or by which credit note it was taken back; of one read with ``COLUMNS``."""
    read: Any = charge
    if read.on_invoice is None:
        return None
    url = address_of("invoices:invoice", read.on_invoice)
    if read.credit_number:
        return Mark(f"invoice {read.invoice_number}, credited by {read.credit_number}", url, is_fixed=True)
    return Mark(f"on invoice {read.invoice_number}", url, is_fixed=True)


@dataclass(frozen=True)
class ShownInvoice:
    """An invoice under the total of a job's charges."""

    pk: int
    number: str
    total: Decimal
    credited: Decimal


@dataclass(frozen=True)
class Told:
    """What of a job is invoiced. ``rest`` are the charges on no invoice, ``rest_sum`` what they come to with tax."""

    invoices: Sequence[ShownInvoice]
    rest: Sequence[Charge]
    rest_sum: Decimal
    total: Decimal
    why: str = ""
    """Why what is owed is not the total of the charges; empty where it is."""

    @property
    def in_all(self) -> Decimal:
        """What is owed for the job by its invoices and by what is still to be invoiced, before payments."""
        return sum((one.total - one.credited for one in self.invoices), NOTHING) + self.rest_sum

    @property
    def differs(self) -> Decimal:
        """By how much that is not the total of the charges."""
        return self.in_all - self.total


def told(job: Job, charges: JobSum, currency: str) -> Told | None:
    """The invoices of a job's charges, and what is not invoiced; None where nothing was, or money was another."""
    found, discount = _standing(job, charges, currency)
    if found is None or not found.differs:
        return found
    read: list[Any] = list(charges.every)
    by_invoice = {invoice.pk: [one for one in read if one.on_invoice == invoice.pk] for invoice in found.invoices}
    return replace(found, why=causes(charges, by_invoice, discount, currency))


def total(job: Job, charges: JobSum, currency: str) -> Decimal | None:
    """What a job comes to of which anything was invoiced: by its invoices, and the rest as of today."""
    found, _ = _standing(job, charges, currency)
    return None if found is None else found.in_all


def _standing(job: Job, charges: JobSum, currency: str) -> tuple[Told | None, Decimal]:
    """The same without why, and what of the job's discount is on no invoice yet."""
    read: list[Any] = list(charges.every)
    invoices = {
        one.on_invoice: ShownInvoice(one.on_invoice, one.invoice_number, one.invoice_total, one.invoice_credited)
        for one in read
        if one.on_invoice is not None
    }
    if not invoices or any(one.on_invoice and one.invoice_currency != currency for one in read):
        return None, NOTHING
    rest = [one for one in read if one.on_invoice is None and not one.is_struck]
    sums = priced(job, rest, currency=currency, rules=charges.rules).sums if rest else None
    rest_sum = sums.total if sums else NOTHING
    found = Told(sorted(invoices.values(), key=lambda one: one.pk), rest, rest_sum, charges.totals.total)
    return found, sums.discount if sums else NOTHING
