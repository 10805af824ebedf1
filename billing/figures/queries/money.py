"""What is owed by age, and sales by week.

Both are of the rows that the aging page and the journal are made of: what is open is asked with the very question of
``billing.invoices``, and sales are what invoices and credit notes say that they come to.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from billing.figures.period import Period
from billing.invoices.models import NOTHING, Invoice
from billing.invoices.queries.balances import open_invoices
from billing.invoices.queries.open_sums import BUCKETS, owed_sums
from web.rows import rows_as_asked


@dataclass(frozen=True)
class OwedBucket:
    """Invoices of one age past the day on which they were due: how many, and what is open on them."""

    name: str
    invoices: int
    open: Decimal


def owed_by_age(today: date, currency: str) -> list[OwedBucket]:
    """Every column of the aging page, over all customers: one query."""
    buckets = [OwedBucket(name, 0, NOTHING) for name in BUCKETS]
    for one in owed_sums(today, currency):
        known = buckets[one.bucket]
        buckets[one.bucket] = OwedBucket(known.name, known.invoices + one.invoices, known.open + one.sum)
    return buckets


def owed_behind(currency: str, start: int, most: int | None) -> Sequence[Any]:
    """The open invoices, those due the longest ago first; one more than ``most`` where there are."""
    found = open_invoices(Invoice.objects.filter(currency=currency)).select_related("customer", "job__vessel")
    ordered = found.order_by("due_on", "pk")
    return list(ordered[start:] if most is None else ordered[start : start + most + 1])


@dataclass(frozen=True, kw_only=True)
class SalesWeek:
    """A week's invoices and credit notes; ``monday`` is its first day. What was credited stands above zero."""

    monday: date
    invoices: int = 0
    net: Decimal = NOTHING
    tax: Decimal = NOTHING
    credits: int = 0
    credit_net: Decimal = NOTHING
    credit_tax: Decimal = NOTHING

    @property
    def left(self) -> Decimal:
        """Net sales less net credits."""
        return self.net - self.credit_net


@dataclass(frozen=True, kw_only=True)
class Paper:
    """An invoice, or a credit note on one."""

    is_credit: bool
    number: str
    invoice_id: int
    day: date
    customer: str
    customer_id: int
    job: int
    net: Decimal
    tax: Decimal
    total: Decimal


_PAPERS = """
WITH papers AS (
    SELECT FALSE AS is_credit, id, id AS invoice_id, number, issued_on AS day, customer_id, net, tax, total, currency
    FROM invoices_invoice WHERE issued_on BETWEEN %(first)s AND %(last)s
    UNION ALL
    SELECT TRUE, id, invoice_id, number, issued_on, customer_id, net, tax, total, currency
    FROM invoices_creditnote WHERE issued_on BETWEEN %(first)s AND %(last)s
)
"""


def sales_by_week(period: Period, currency: str) -> tuple[list[SalesWeek], int]:
    """Every week of the days (ISO 8601), the last first, and how many papers are in another currency: one query."""
    found = rows_as_asked(_WeekRow, f"{_PAPERS}{_BY_WEEK}", _asked(period, currency))
    others = sum(one.others for one in found)
    by_monday = {one.monday: one.week for one in found}
    return [by_monday.get(monday, SalesWeek(monday=monday)) for monday in period.weeks], others


def sales_behind(period: Period, currency: str, start: int, most: int | None) -> list[Paper]:
    """The invoices and credit notes, the last first; one more than ``most`` where there are."""
    page = {"start": start, "most": None if most is None else most + 1}
    return rows_as_asked(Paper, f"{_PAPERS}{_BEHIND}", _asked(period, currency) | page)


def _asked(period: Period, currency: str) -> dict[str, object]:
    return {"first": period.first, "last": period.last, "currency": currency}


@dataclass(frozen=True, kw_only=True)
class _WeekRow:
    monday: date
    invoices: int
    net: Decimal
    tax: Decimal
    credits: int
    credit_net: Decimal
    credit_tax: Decimal
    others: int

    @property
    def week(self) -> SalesWeek:
        """Without what is in another currency."""
        return SalesWeek(**{name: value for name, value in vars(self).items() if name != "others"})


_BY_WEEK = """
SELECT date_trunc('week', day::timestamp)::date AS monday,
       count(*) FILTER (WHERE ours AND NOT is_credit)::int AS invoices,
       coalesce(sum(net) FILTER (WHERE ours AND NOT is_credit), 0) AS net,
       coalesce(sum(tax) FILTER (WHERE ours AND NOT is_credit), 0) AS tax,
       count(*) FILTER (WHERE ours AND is_credit)::int AS credits,
       coalesce(sum(net) FILTER (WHERE ours AND is_credit), 0) AS credit_net,
       coalesce(sum(tax) FILTER (WHERE ours AND is_credit), 0) AS credit_tax,
       count(*) FILTER (WHERE NOT ours)::int AS others
FROM (SELECT *, currency = %(currency)s AS ours FROM papers) p
GROUP BY 1
"""
_BEHIND = """
SELECT p.is_credit, p.number, p.invoice_id, p.day, c.name AS customer, c.id AS customer_id, j.number AS job,
       p.net, p.tax, p.total
FROM papers p
JOIN vessels_customer c ON c.id = p.customer_id
JOIN invoices_invoice i ON i.id = p.invoice_id
JOIN workorders_job j ON j.id = i.job_id
WHERE p.currency = %(currency)s
ORDER BY p.day DESC, p.is_credit DESC, p.id DESC OFFSET %(start)s LIMIT %(most)s::bigint
"""
