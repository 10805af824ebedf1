"""What is open over all invoices, from what the database keeps of it: for aging and Today, at any age of a shop."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import NamedTuple

from billing.invoices.models import NOTHING
from web.rows import rows
from workorders.models import ENDED

BUCKETS = ("Not overdue", "1–30 days", "31–60 days", "61–90 days", "Over 90 days")
LIMITS = (0, 30, 60, 90)
"""The last day of each column but the last, counted from the day on which it was due."""

_STANDING = """
    SELECT invoice.id, invoice.number, invoice.customer_id, invoice.currency, invoice.due_on, kept.open
    FROM invoices_openinvoice kept JOIN invoices_invoice invoice ON invoice.id = kept.invoice_id
"""
_OWED = f"""
    SELECT customer_id AS customer, width_bucket(%(today)s::date - due_on, %(begins)s::int[]) AS bucket,
           count(*)::int AS invoices, sum(open) AS sum
    FROM ({_STANDING}) standing WHERE currency = %(currency)s GROUP BY 1, 2
"""  # noqa: S608  (put together from what the program says)
_OVERDUE = f"""
    SELECT standing.id AS pk, standing.number, standing.due_on, standing.open, customer.name AS customer,
           (SELECT phone.number FROM vessels_customerphone phone WHERE phone.customer_id = customer.id
            ORDER BY phone.position, phone.id LIMIT 1)
           AS phone, COALESCE((
               SELECT sum(kept.rest) FROM invoices_paymentrest kept
               JOIN invoices_payment paid ON paid.id = kept.payment_id
               LEFT JOIN workorders_job job ON job.id = paid.job_id
               WHERE paid.customer_id = customer.id AND paid.currency = %(currency)s AND kept.rest > 0
                     AND (job.id IS NULL OR job.state = ANY(%(ended)s))
           ), 0) AS credit, count(*) OVER () AS count, sum(standing.open) OVER () AS sum
    FROM ({_STANDING}) standing JOIN vessels_customer customer ON customer.id = standing.customer_id
    WHERE currency = %(currency)s AND due_on < %(today)s ORDER BY standing.due_on, standing.id
    LIMIT %(most)s
"""  # noqa: S608


class OwedSum(NamedTuple):
    """What a customer owes in one column of the aging; ``bucket`` counts from 0, what is not overdue."""

    customer: int
    bucket: int
    invoices: int
    sum: Decimal


def owed_sums(today: date, currency: str) -> list[OwedSum]:
    """What is open by customer and by how long it is overdue: days after the day on which it was due."""
    return rows(OwedSum, _OWED, {"today": today, "currency": currency, "begins": [limit + 1 for limit in LIMITS]})


@dataclass(frozen=True)
class OverdueInvoice:
    """An invoice that was due before today. ``credit`` is what the shop owes the same customer, deposits left out."""

    pk: int
    number: str
    due_on: date
    open: Decimal
    customer: str
    phone: str | None
    credit: Decimal
    count: int
    sum: Decimal


@dataclass(frozen=True)
class Overdue:
    """The invoices that are overdue the longest, and what all of them come to."""

    rows: Sequence[OverdueInvoice]

    @property
    def count(self) -> int:
        """How many there are."""
        return self.rows[0].count if self.rows else 0

    @property
    def more(self) -> int:
        """How many are not among the rows."""
        return self.count - len(self.rows)

    @property
    def sum(self) -> Decimal:
        """What is open on all of them."""
        return self.rows[0].sum if self.rows else NOTHING


def overdue(today: date, currency: str, *, at_most: int) -> Overdue:
    """What is overdue, the longest first, in one query."""
    asked = {"today": today, "currency": currency, "most": at_most, "ended": list(ENDED)}
    return Overdue(rows(OverdueInvoice, _OVERDUE, asked))
