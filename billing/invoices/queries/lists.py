"""Invoices in lists, what happened to one, and what is owed by how long."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django.db.models import QuerySet

from billing.invoices.between import Between, others_words
from billing.invoices.models import MEANS, NOTHING, Invoice
from billing.invoices.queries.balances import (
    Held,
    HeldPayment,
    gaps_of,
    held_of_everybody,
    held_payments,
    in_two,
    open_invoices,
    other_currencies,
    owed_back_by,
    with_balance,
)
from billing.invoices.queries.of_customers import (
    Loose,
    Paid,
    TakenOff,
    invoices_of,
    loose_write_offs_of,
    money_of,
    other_currencies_among,
    owed_back_of,
    taken_off_invoices_of,
)
from billing.invoices.queries.open_sums import BUCKETS, owed_sums
from staff.queries import shop_profile
from vessels.models import Customer
from workorders.money import money_words

MOST_NAMED = 5


def filtered(state: str, today: date) -> QuerySet[Invoice]:
    """Invoices that are open, overdue, paid (nothing is open on them), or all."""
    rows: QuerySet[Any] = with_balance(Invoice.objects.select_related("customer", "job__vessel"))
    if state == "paid":
        return rows.filter(standing=None)
    if state == "all":
        return rows
    rows = rows.filter(standing__isnull=False)
    return rows.filter(due_on__lt=today) if state == "overdue" else rows


@dataclass(frozen=True)
class Happened:
    """Something that happened to an invoice: ``amount`` is what it made less of what is open, ``row`` who did it."""

    at: datetime
    day: date
    what: str
    amount: Decimal
    row: Any
    kind: str
    note: str = ""


def history_of(invoice: Invoice) -> list[Happened]:
    """Payments, credits and write-offs of an invoice, in the order in which they were noted."""
    found = [*_uses(invoice), *_credits(invoice), *_write_offs(invoice)]
    return sorted(found, key=lambda one: one.at)


def _uses(invoice: Invoice) -> list[Happened]:
    means = dict(MEANS)
    found = []
    for use in invoice.uses.select_related("payment__reversed_by", "payment__job", "credit", "by"):
        payment = use.payment
        paid = f"{means[payment.means]}{f', {payment.reference}' if payment.reference else ''}"
        if use.amount > 0:
            was_held = payment.invoice_id != invoice.pk
            what = ("Deposit taken" if payment.job_id == invoice.job_id else "Held money used") if was_held else "Paid"
            of = f", of {money_words(payment.amount, payment.currency)}" if payment.amount != use.amount else ""
            found.append(Happened(use.at, use.day, f"{what}: {paid}{of}", use.amount, use, "use", payment.remark))
        elif use.credit:
            what = f"No longer owed since credit note {use.credit}: {paid}"
            found.append(Happened(use.at, use.day, what, use.amount, use, "freed"))
        else:
            why = payment.reversed_by.remark if hasattr(payment, "reversed_by") else ""
            found.append(Happened(use.at, use.day, f"Payment reversed: {paid}", use.amount, use, "freed", why))
    return found


def _credits(invoice: Invoice) -> list[Happened]:
    notes = invoice.credits.select_related("made_by")
    return [
        Happened(note.made_at, note.issued_on, f"Credit note {note}", note.total, note, "credit", note.reason)
        for note in notes
    ]


def _write_offs(invoice: Invoice) -> list[Happened]:
    found = []
    for row in invoice.write_offs.select_related("by", "reversed_by"):
        what = "Written off" if row.amount > 0 else "Write-off reversed"
        found.append(Happened(row.at, row.day, what, row.amount, row, "off", row.reason))
    return found


@dataclass
class Owed:
    """What is between the shop and one customer: open on invoices by how long it is overdue, and apart the rest.

    ``back`` was paid out to them out of payments that were not honored, and is owed on no invoice; ``held`` is theirs.
    """

    customer: Customer
    sums: list[Decimal] = field(default_factory=lambda: [NOTHING] * len(BUCKETS))
    back: Decimal = NOTHING
    held: Held = field(default_factory=Held)

    @property
    def cells(self) -> list[tuple[str, Decimal]]:
        """Each column's name and sum."""
        return list(zip(BUCKETS, self.sums, strict=True))

    @property
    def on_invoices(self) -> Decimal:
        """All that is open on invoices."""
        return sum(self.sums, NOTHING)

    @property
    def total(self) -> Decimal:
        """All that the customer owes."""
        return self.on_invoices + self.back


@dataclass(frozen=True)
class Aging:
    """What is between the shop and its customers on a day. ``rows`` are those who owe or have something here."""

    day: date
    rows: Sequence[Owed]
    others: tuple[str, ...] = ()

    @property
    def others_told(self) -> str:
        """That there is money in other currencies as well."""
        return others_words(self.others)

    @property
    def owing(self) -> list[Owed]:
        """Who owes the shop, the most first."""
        return sorted((row for row in self.rows if row.total), key=lambda row: (-row.total, row.customer.name))

    @property
    def having(self) -> list[Owed]:
        """Of whom the shop has money, those it owes most first."""
        found = (row for row in self.rows if row.held.total)
        return sorted(found, key=lambda row: (-row.held.credit, -row.held.deposits, row.customer.name))

    @property
    def buckets(self) -> tuple[str, ...]:
        """The columns of invoices."""
        return BUCKETS

    @property
    def cells(self) -> list[tuple[str, Decimal]]:
        """Each column's name and sum."""
        return list(zip(BUCKETS, self.sums, strict=True))

    @property
    def sums(self) -> list[Decimal]:
        """The sum of each column."""
        return [sum((row.sums[place] for row in self.rows), NOTHING) for place in range(len(BUCKETS))]

    @property
    def on_invoices(self) -> Decimal:
        """All that is open on invoices."""
        return sum(self.sums, NOTHING)

    @property
    def back(self) -> Decimal:
        """What is owed on no invoice: it was paid out of payments that were not honored."""
        return sum((row.back for row in self.rows), NOTHING)

    @property
    def total(self) -> Decimal:
        """All that customers owe."""
        return self.on_invoices + self.back

    @property
    def held(self) -> Held:
        """All that the shop has of customers'."""
        return Held(
            sum((row.held.deposits for row in self.rows), NOTHING), sum((row.held.credit for row in self.rows), NOTHING)
        )


def receivables(today: date, currency: str) -> Aging:
    """What customers owe and have here in a currency, those who owe most first, then those who are owed most."""
    sums, held = owed_sums(today, currency), held_of_everybody(currency)
    customers = Customer.objects.in_bulk({one.customer for one in sums} | set(held))
    rows: dict[int, Owed] = {key: Owed(customer) for key, customer in customers.items()}
    for one in sums:
        rows[one.customer].sums[one.bucket] += one.sum
    for gap in gaps_of(currency):
        rows.setdefault(gap.payment.customer_id, Owed(gap.payment.customer)).back += gap.lacks
    for key, one_held in held.items():
        rows[key].held = one_held
    order = sorted(rows.values(), key=lambda row: (-row.total, -row.held.credit, -row.held.deposits, row.customer.name))
    return Aging(today, order, other_currencies(currency))


@dataclass(frozen=True)
class StatementRow:
    """One line of a statement. ``amount`` above zero is owed, below zero paid or credited; ``after`` is the balance."""

    day: date
    what: str
    amount: Decimal
    after: Decimal
    url: str = ""


@dataclass(frozen=True)
class Statement:
    """What is between the shop and a customer: each document and each sum of money, with the balance after it."""

    customer: Customer
    currency: str
    day: date
    rows: Sequence[StatementRow]
    open: Sequence[Invoice]
    held: Held
    back: Decimal = NOTHING
    purses: Sequence[HeldPayment] = ()
    """What is held, each sum that came in by itself."""
    others: tuple[str, ...] = ()
    payments: Sequence[Paid] = ()
    """Every sum of money, in any currency, the last one first."""
    written_off: Sequence[Loose] = ()
    """The same of what was written off on no invoice."""

    @property
    def others_told(self) -> str:
        """That there is money in other currencies as well."""
        return others_words(self.others)

    @property
    def between(self) -> Between:
        """Who owes whom."""
        return Between(
            str(self.customer), self.currency, self.owed, self.back, self.held.deposits, self.held.credit, self.others
        )  # fmt: skip

    @property
    def balance(self) -> Decimal:
        """What is owed less what is held: below zero the shop owes it to the customer."""
        return self.rows[-1].after if self.rows else NOTHING

    @property
    def balance_size(self) -> Decimal:
        """The same without its sign, for where a word says who owes it."""
        return abs(self.balance)

    @property
    def owed(self) -> Decimal:
        """What is open on invoices."""
        return sum((invoice.open_sum for invoice in self.open), NOTHING)  # type: ignore[attr-defined]


def statement_of(customer: Customer, currency: str, day: date) -> Statement:
    """Everything between the shop and a customer, by day: four questions."""
    invoices, money, loose = invoices_of(customer), money_of(customer), loose_write_offs_of(customer)
    entries: list[tuple[date, datetime, str, Decimal]] = []
    for one in invoices:
        if one.currency == currency:
            entries.append((one.issued_on, one.made_at, f"Invoice {one.number}, job {one.job_number}", one.total))
    for off in taken_off_invoices_of(customer):
        if off.currency == currency:
            entries.append((off.day, off.at, taken_off_words(off), -off.amount))
    for paid in money:
        if paid.currency == currency:
            entries.append((paid.day, paid.at, payment_words(paid), -paid.amount))
    for row in loose:
        if row.currency == currency:
            entries.append((row.day, row.at, loose_words(row), -row.amount if row.is_theirs else row.amount))
    after, shown = NOTHING, []
    for on, _, what, amount in sorted(entries, key=lambda entry: entry[:2]):
        after += amount
        shown.append(StatementRow(on, what, amount, after))
    is_open = [one for one in invoices if one.open_sum and one.currency == currency]
    is_open.sort(key=lambda one: (one.due_on, one.pk))
    held = [one for one in money if one.kind == "received" and one.rest > 0 and one.currency == currency]
    held.sort(key=lambda one: (one.day, one.pk))
    purses = [HeldPayment(one.record, one.rest) for one in held]
    return Statement(
        customer, currency, day, shown, [one.record(customer) for one in is_open], in_two(purses),
        owed_back_of(money, currency), purses, other_currencies_among(invoices, money, currency),
        sorted(money, key=lambda one: (one.day, one.pk), reverse=True),
        sorted(loose, key=lambda one: (one.day, one.pk), reverse=True),
    )  # fmt: skip


def taken_off_words(off: TakenOff) -> str:
    """A credit note by its number, or what was written off of an invoice."""
    if off.number:
        return f"Credit note {off.number} on invoice {off.invoice}"
    return f"{'Written off' if off.amount > 0 else 'Write-off reversed'}, invoice {off.invoice}"


def loose_words(row: Loose) -> str:
    """What was written off on no invoice, or is expected again."""
    what = "owed to the shop on no invoice" if row.is_theirs else "owed by the shop"
    return f"{'Written off' if row.amount > 0 else 'Write-off reversed'}, {what}"


def payment_words(paid: Paid) -> str:
    """What a sum of money was: “Payment on invoice INV-1004, check 1021”."""
    if paid.job is not None:
        about = f" for job {paid.job}"
    else:
        about = invoices_words([*([paid.invoice] if paid.invoice else []), *paid.paid])
    came = "Payment" if paid.job is None else "Deposit"
    wrong = "paid back" if paid.reverses == "refunded" else came.lower()
    what = {"received": came, "refunded": "Paid back", "reversed": f"Reversed: {wrong}"}
    return f"{what[paid.kind]}{about}, {paid.how}"


def invoices_words(numbers: Iterable[str]) -> str:
    """The invoices that money was noted on or used for: five by their numbers, of more the first four."""
    named = list(dict.fromkeys(numbers))
    if len(named) < 2:
        return f" on invoice {named[0]}" if named else ""
    *first, last = (
        named if len(named) <= MOST_NAMED else [*named[: MOST_NAMED - 1], f"{len(named) - MOST_NAMED + 1} more"]
    )
    return f" on invoices {', '.join(first)} and {last}"


@dataclass(frozen=True)
class CustomerMoney:
    """What a customer's page tells of their money."""

    customer: Customer
    between: Between


def on_customer(customer: Customer) -> CustomerMoney:
    """Who owes whom, in four queries beside the shop's own."""
    currency = shop_profile().currency
    owed = open_invoices(Invoice.objects.filter(customer=customer, currency=currency))
    is_open = sum((one.open_sum for one in owed), NOTHING)  # type: ignore[attr-defined]
    held, back = in_two(held_payments([customer], currency)), owed_back_by(customer, currency)
    others = other_currencies(currency, customer)
    return CustomerMoney(customer, Between(str(customer), currency, is_open, back, held.deposits, held.credit, others))
