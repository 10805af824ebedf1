"""The day book and the journal: every sum of a stretch of days, from the rows."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from typing import Any

from billing.invoices import journal
from billing.invoices.journal import ROLES, TAX, Entry
from billing.invoices.models import MEANS, NOTHING, Account, CreditNote, Invoice, Payment, WriteOff
from billing.invoices.pricing import tax_names
from billing.invoices.queries.held import entries_of_money
from billing.invoices.record import parts_written


@dataclass
class DayOfMoney:
    """What came in and went out on one day, by means of payment."""

    day: date
    rows: list[Payment] = field(default_factory=list)

    @property
    def sums(self) -> list[tuple[str, Decimal]]:
        """The sum of each means that was used, in the order of the means."""
        sums: dict[str, Decimal] = {}
        for row in self.rows:
            sums[row.means] = sums.get(row.means, NOTHING) + row.amount
        return [(label, sums[means]) for means, label in MEANS if means in sums]

    @property
    def total(self) -> Decimal:
        """All means together."""
        return sum((row.amount for row in self.rows), NOTHING)


def day_book(first: date, last: date) -> list[DayOfMoney]:
    """Every payment of some days, both included, day by day."""
    rows = (
        Payment.objects.filter(day__gte=first, day__lte=last)
        .select_related("customer", "job", "invoice", "by", "reverses")
        .order_by("day", "pk")
    )
    days: dict[date, DayOfMoney] = {}
    for row in rows:
        days.setdefault(row.day, DayOfMoney(row.day)).rows.append(row)
    return list(days.values())


def means_sums(days: Sequence[DayOfMoney]) -> list[tuple[str, Decimal]]:
    """The sum of each means over some days."""
    sums: dict[str, Decimal] = {}
    for day in days:
        for label, sum_ in day.sums:
            sums[label] = sums.get(label, NOTHING) + sum_
    return [(label, sums[label]) for _, label in MEANS if label in sums]


def journal_entries(first: date, last: date) -> list[Entry]:
    """What happened to the shop's accounts on some days, both included, in order of days."""
    within: dict[str, Any] = {"gte": first, "lte": last}
    entries = [*_papers(within), *entries_of_money(first, last), *_written_off(within)]
    return sorted(entries, key=lambda entry: entry.day)


def _papers(within: dict[str, Any]) -> Iterator[Entry]:
    days = {f"issued_on__{name}": day for name, day in within.items()}
    for invoice in Invoice.objects.filter(**days).select_related("customer").order_by("pk"):
        parts = parts_written(invoice.record)
        lines = journal.of_invoice(parts, invoice.total)
        yield Entry(f"I{invoice.pk}", invoice.issued_on, invoice.number, str(invoice.customer), "Invoice", lines)
    for note in CreditNote.objects.filter(**days).select_related("customer", "invoice").order_by("pk"):
        parts = parts_written(note.record)
        text = f"Credit note on invoice {note.invoice}"
        yield Entry(
            f"C{note.pk}", note.issued_on, note.number, str(note.customer), text, journal.of_credit(parts, note.total)
        )


def _written_off(within: dict[str, Any]) -> Iterator[Entry]:
    days = {f"day__{name}": day for name, day in within.items()}
    for off in WriteOff.objects.filter(**days).select_related("invoice__customer").order_by("pk"):
        text = "Written off" if off.amount > 0 else "Write-off reversed"
        yield Entry(
            f"W{off.pk}", off.day, off.invoice.number, str(off.invoice.customer), text, journal.of_write_off(off.amount)
        )


@dataclass(frozen=True)
class ShownAccount:
    """A kind of sum, and the account that the shop keeps it under."""

    role: str
    usual: str
    code: str = ""
    name: str = ""

    @property
    def words(self) -> str:
        """What the account is called."""
        return self.name or self.usual


def accounts() -> list[ShownAccount]:
    """Every kind of sum, taxes among them, with the shop's account."""
    own = {account.role: account for account in Account.objects.all()}
    usual = ROLES | {f"{TAX}{key}": name for key, name in tax_names().items()}
    shown = []
    for role, words in usual.items():
        account = own.get(role)
        shown.append(ShownAccount(role, words, account.code if account else "", account.name if account else ""))
    return shown
