"""What was invoiced, credited, paid and written off of a customer, in any currency: a question of rows for each."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, datetime
from decimal import Decimal
from typing import Any, NamedTuple

from billing.invoices.models import MEANS, NOTHING, Invoice, LooseWriteOff, Payment
from vessels.models import Customer, Vessel
from web.rows import record, rows
from workorders.models import Job

KIND_WORDS, MEANS_WORDS, SIDE_WORDS = dict(Payment.KINDS), dict(MEANS), dict(LooseWriteOff.SIDES)


class Paid(NamedTuple):
    """A sum of money: what of it has no use in ``rest``, and in ``paid`` the invoices that it was used for."""

    pk: int
    kind: str
    amount: Decimal
    currency: str
    means: str
    reference: str
    day: date
    at: datetime
    remark: str
    job_id: int | None
    job: int | None
    job_state: str | None
    invoice_id: int | None
    invoice: str | None
    reverses: str | None
    is_reversed: bool
    by: str
    rest: Decimal
    paid: Sequence[str]

    @property
    def how(self) -> str:
        """By which means it was paid, with its reference: “check 1021”."""
        return MEANS_WORDS[self.means].lower() + (f" {self.reference}" if self.reference else "")

    @property
    def record(self) -> Payment:
        """The payment, with what is shown of it where it is held."""
        found = Payment(
            pk=self.pk, kind=self.kind, amount=self.amount, currency=self.currency, means=self.means, day=self.day,
            reference=self.reference, job_id=self.job_id,
        )  # fmt: skip
        if self.job_id is not None:
            found.job = Job(pk=self.job_id, number=self.job or 0, state=self.job_state or "")
        return found


_PAID = """
    SELECT one.id AS pk, one.kind, one.amount, one.currency, one.means, one.reference, one.day, one.at, one.remark,
           one.job_id, job.number AS job, job.state AS job_state, one.invoice_id, invoice.number AS invoice,
           wrong.kind AS reverses, EXISTS (SELECT FROM invoices_payment undone WHERE undone.reverses_id = one.id)
               AS is_reversed,
           person.name AS by, COALESCE(resting.rest, 0) AS rest,
           ARRAY(SELECT paper.number FROM invoices_use use JOIN invoices_invoice paper ON paper.id = use.invoice_id
                 WHERE use.payment_id = COALESCE(one.reverses_id, one.id) AND use.amount > 0 ORDER BY use.id) AS paid
    FROM invoices_payment one JOIN staff_person person ON person.id = one.by_id
    LEFT JOIN workorders_job job ON job.id = one.job_id
    LEFT JOIN invoices_invoice invoice ON invoice.id = one.invoice_id
    LEFT JOIN invoices_payment wrong ON wrong.id = one.reverses_id
    LEFT JOIN invoices_paymentrest resting ON resting.payment_id = one.id
    WHERE one.customer_id = %(customer)s ORDER BY one.id
"""


def money_of(customer: Customer) -> list[Paid]:
    """Every sum of money that came in or went out, in the order in which it was noted."""
    return rows(Paid, _PAID, {"customer": customer.pk})


class Invoiced(NamedTuple):
    """An invoice; ``open_sum`` is what is open on it."""

    pk: int
    number: str
    issued_on: date
    due_on: date
    made_at: datetime
    total: Decimal
    currency: str
    job_id: int
    job_number: int
    vessel_id: int
    vessel_name: str
    vessel_maker: str
    vessel_model: str
    open_sum: Decimal

    def record(self, customer: Customer) -> Invoice:
        """The invoice, with what is shown of it where it is open."""
        row: Mapping[str, Any] = self._asdict()
        found = Invoice(
            pk=self.pk, number=self.number, issued_on=self.issued_on, due_on=self.due_on, total=self.total,
            currency=self.currency, customer=customer,
        )  # fmt: skip
        vessel = record(Vessel, {**row, "vessel_id": self.vessel_id}, "id", "name", "maker", "model", prefix="vessel_")
        found.job = Job(pk=self.job_id, number=self.job_number, vessel=vessel)
        found.open_sum = self.open_sum  # type: ignore[attr-defined]
        return found


_INVOICED = """
    SELECT one.id AS pk, one.number, one.issued_on, one.due_on, one.made_at, one.total, one.currency, one.job_id,
           job.number AS job_number, job.vessel_id, vessel.name AS vessel_name, vessel.maker AS vessel_maker,
           vessel.model AS vessel_model, COALESCE(standing.open, 0) AS open_sum
    FROM invoices_invoice one JOIN workorders_job job ON job.id = one.job_id
    JOIN vessels_vessel vessel ON vessel.id = job.vessel_id
    LEFT JOIN invoices_openinvoice standing ON standing.invoice_id = one.id
    WHERE one.customer_id = %(customer)s ORDER BY one.id DESC
"""


def invoices_of(customer: Customer) -> list[Invoiced]:
    """Every invoice, the last one first."""
    return rows(Invoiced, _INVOICED, {"customer": customer.pk})


class TakenOff(NamedTuple):
    """A credit note on an invoice, or a write-off of one, which has no number."""

    number: str
    invoice: str
    amount: Decimal
    currency: str
    day: date
    at: datetime


_TAKEN_OFF = """
    SELECT note.number, invoice.number AS invoice, note.total AS amount, note.currency, note.issued_on AS day,
           note.made_at AS at, 0 AS kind, -note.id AS place
    FROM invoices_creditnote note JOIN invoices_invoice invoice ON invoice.id = note.invoice_id
    WHERE note.customer_id = %(customer)s
    UNION ALL
    SELECT '', invoice.number, off.amount, invoice.currency, off.day, off.at, 1, off.id
    FROM invoices_writeoff off JOIN invoices_invoice invoice ON invoice.id = off.invoice_id
    WHERE invoice.customer_id = %(customer)s
"""


def taken_off_invoices_of(customer: Customer) -> list[TakenOff]:
    """Every credit note, the last one first, and then every write-off of an invoice."""
    sql = f"SELECT number, invoice, amount, currency, day, at FROM ({_TAKEN_OFF}) one ORDER BY kind, place"  # noqa: S608
    return rows(TakenOff, sql, {"customer": customer.pk})


class Loose(NamedTuple):
    """A sum on no invoice that was written off, or below zero is expected again."""

    pk: int
    side: str
    amount: Decimal
    currency: str
    reason: str
    day: date
    at: datetime
    is_reversed: bool
    by: str

    @property
    def is_theirs(self) -> bool:
        """Whether the customer owed it."""
        return self.side == LooseWriteOff.THEIRS

    @property
    def side_words(self) -> str:
        """Whose it was."""
        return SIDE_WORDS[self.side]


_LOOSE = """
    SELECT one.id AS pk, one.side, one.amount, one.currency, one.reason, one.day, one.at,
           EXISTS (SELECT FROM invoices_loosewriteoff undone WHERE undone.reverses_id = one.id) AS is_reversed,
           person.name AS by
    FROM invoices_loosewriteoff one JOIN staff_person person ON person.id = one.by_id
    WHERE one.customer_id = %(customer)s ORDER BY one.id
"""


def loose_write_offs_of(customer: Customer) -> list[Loose]:
    """Every sum on no invoice that was written off."""
    return rows(Loose, _LOOSE, {"customer": customer.pk})


def other_currencies_among(invoices: Sequence[Invoiced], money: Sequence[Paid], currency: str) -> tuple[str, ...]:
    """Currencies besides the shop's in which something of a customer is open or held."""
    found = {one.currency for one in invoices if one.open_sum} | {one.currency for one in money if one.rest}
    return tuple(sorted(found - {currency}))


def owed_back_of(money: Sequence[Paid], currency: str) -> Decimal:
    """What was paid back out of payments that were reversed since, so that the customer owes it."""
    gaps = [one.rest for one in money if one.kind == "received" and one.currency == currency and one.is_reversed]
    return -sum((rest for rest in gaps if rest < 0), NOTHING)
