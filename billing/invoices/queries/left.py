"""Closed jobs with charges on no invoice: what is still to be invoiced, over the whole shop."""

from __future__ import annotations

from django.db.models import Exists, OuterRef, QuerySet

from billing.invoices.models import LeftToInvoice
from workorders.models import Charge, Job
from workorders.states import JobState

MANY = 100
"""So many of them are counted."""


def _priced() -> QuerySet[Charge]:
    """Charges on no invoice that were not voided and have a price."""
    return Charge.objects.filter(struck_at=None, invoiced=None).exclude(unit_price=0).exclude(quantity=0)


def keep_left(job: Job, end: JobState) -> None:
    """Note whether a job is closed with something on no invoice; inside the act that moves it."""
    if end is JobState.CLOSED and _priced().filter(job=job).exists():
        LeftToInvoice.objects.get_or_create(job=job)
    else:
        LeftToInvoice.objects.filter(job=job).delete()


def note_invoiced(job: Job) -> None:
    """Note that a job is invoiced whole, where it is; inside the act that makes the invoice."""
    LeftToInvoice.objects.filter(~Exists(_priced().filter(job=OuterRef("job"))), job=job).delete()


def left_to_invoice() -> QuerySet[Job]:
    """Closed jobs with priced charges on no invoice."""
    found = Job.objects.filter(left_to_invoice__isnull=False, state=JobState.CLOSED.value)
    return found.filter(Exists(_priced().filter(job=OuterRef("pk"))))


def count_of_left() -> int:
    """How many there are; one more than ``MANY`` where there are more."""
    return len(left_to_invoice().order_by().values_list("pk", flat=True)[: MANY + 1])
