"""Why a job's invoices come to another sum than its charges: the causes that hold, in words."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Any

from billing.documents.frozen import thawed
from billing.invoices.models import NOTHING, CreditNote, Invoice
from billing.invoices.record import Document
from workorders.money import money_words
from workorders.queries.sums import JobSum
from workorders.reckoning import Discount

BY_ITSELF = "Each invoice and each credit note works its taxes out by itself, and rounds them."


def causes(charges: JobSum, by_invoice: Mapping[int, Sequence[Any]], rest_discount: Decimal, currency: str) -> str:
    """The causes, a sentence each: another discount, a sum that was credited, other taxes.

    Where none of them holds, taxes that are worked out once for each paper are what is left. ``by_invoice`` has the
    charges on each invoice, ``rest_discount`` is what of the job's discount is on no invoice yet.
    """
    invoices = {one: thawed(Document, one.record) for one in Invoice.objects.filter(pk__in=by_invoice).order_by("pk")}
    counted = {one.pk for every in by_invoice.values() for one in every if not one.is_struck}
    said = [
        _discount(charges, invoices.values(), counted, rest_discount, currency),
        *_credited_sums(by_invoice, counted, currency),
        *(
            _taxes(one, document, charges, by_invoice[one.pk], currency)
            for one, document in invoices.items()
            if any(charge.pk in counted for charge in by_invoice[one.pk])
        ),
    ]
    return " ".join(sentence for sentence in said if sentence) or BY_ITSELF


def _discount(charges: JobSum, documents: Any, counted: set[int], rest_discount: Decimal, currency: str) -> str:
    lines = [line for document in documents for line in document.lines if line.charge in counted]
    given = sum((line.share for line in lines), rest_discount)
    now = charges.totals.discount
    if given == now:
        return ""
    return (
        f"The discount on the job comes to {money_words(now, currency)} now; as these charges are invoiced, with what "
        f"is not invoiced yet, it is {money_words(given, currency)}."
    )


def _credited_sums(by_invoice: Mapping[int, Sequence[Any]], counted: set[int], currency: str) -> list[str]:
    """Credit notes over a sum, on invoices whose charges count in full."""
    on = [pk for pk, every in by_invoice.items() if any(one.pk in counted for one in every)]
    notes = CreditNote.objects.filter(invoice__in=on, credited=None, total__gt=0).order_by("pk")
    return [
        f"{note.number} credits {money_words(note.total, currency)} as a sum, and leaves the charges as they are."
        for note in notes
    ]


def _taxes(invoice: Invoice, document: Document, charges: JobSum, on_it: Sequence[Any], currency: str) -> str:
    """That an invoice has other taxes than its charges would have now, both without what was credited by its lines."""
    counted = {one.pk for one in on_it if not one.is_struck}
    off = Discount(amount=sum((line.share for line in document.lines if line.charge in counted), NOTHING))
    now = charges.rules.reckon_with([one for one in on_it if one.pk in counted], off, currency=currency).tax
    credited = NOTHING
    if len(counted) < len(on_it):
        notes = CreditNote.objects.filter(invoice=invoice, credited__isnull=False).distinct()
        credited = sum(notes.values_list("tax", flat=True), NOTHING)
    left = document.tax - credited
    if now == left:
        return ""
    less = f" left, without the {money_words(credited, currency)} that was credited" if credited else ""
    return (
        f"{invoice.number} has {money_words(left, currency)} of tax{less}, and would have "
        f"{money_words(now, currency)} by the taxes that the job has now."
    )
