"""What of a job is invoiced, and what is left."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from billing.invoices.models import NOTHING, Invoice
from billing.invoices.queries.balances import HeldPayment, deposits_of, with_balance
from workorders.models import Charge, Job


def charges_to_invoice(job: Job) -> list[Charge]:
    """The charges of a job that were neither voided nor invoiced, by line and in the order they were added."""
    left = job.charges.filter(struck_at=None, invoiced=None).select_related("line", "part")
    return sorted(left, key=lambda charge: (charge.line.position if charge.line else 10**6, charge.pk))


def invoices_of(job: Job) -> list[Invoice]:
    """The invoices of a job with what became of them, oldest first."""
    return list(with_balance(job.invoices.all()).select_related("made_by").order_by("pk"))


@dataclass(frozen=True)
class JobMoney:
    """What is invoiced of a job, what is left, and what is held for it."""

    invoices: Sequence[Invoice]
    left: Sequence[Charge]
    deposits: Sequence[HeldPayment]

    @property
    def held(self) -> Decimal:
        """What of the deposits has no use yet."""
        return sum((purse.rest for purse in self.deposits), NOTHING)

    @property
    def open(self) -> Decimal:
        """What is open on its invoices."""
        return sum((invoice.open_sum for invoice in self.invoices), NOTHING)  # type: ignore[attr-defined]


def job_money(job: Job, currency: str) -> JobMoney:
    """The money of a job."""
    return JobMoney(invoices_of(job), charges_to_invoice(job), deposits_of(job, currency))
