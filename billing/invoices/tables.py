"""Invoices and journal lines as tables to keep: CSV."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from decimal import Decimal

from django.http import StreamingHttpResponse

from billing.invoices.journal import Entry
from billing.invoices.models import Invoice
from billing.invoices.queries.balances import balance_of
from billing.invoices.queries.books import ShownAccount
from billing.invoices.queries.lists import Aging
from billing.invoices.queries.open_sums import BUCKETS
from web.tables import streamed_table

INVOICES = [
    "Number",
    "Day",
    "Due",
    "Customer",
    "Job",
    "Vessel",
    "Currency",
    "Net",
    "Tax",
    "Total",
    "Paid, still counted",
    "Credited",
    "Written off",
    "Open",
]
AGING = [
    "Customer",
    "Currency",
    *BUCKETS,
    "Open on invoices",
    "Owed on no invoice",
    "Customer owes",
    "Deposits held",
    "Owed to customer",
]
JOURNAL = ["Entry", "Day", "Document", "Customer", "Text", "Account", "Account name", "Debit", "Credit"]


def coins(value: Decimal) -> str:
    """A sum with two decimals."""
    return str(value.quantize(Decimal("0.01")))


def invoices_table(name: str, invoices: Iterable[Invoice]) -> StreamingHttpResponse:
    """A row for each invoice."""
    balances = ((one, balance_of(one)) for one in invoices)
    rows = (
        [
            one.number,
            one.issued_on.isoformat(),
            one.due_on.isoformat(),
            one.customer.name,
            str(one.job.number),
            str(one.job.vessel),
            one.currency,
            str(one.net),
            str(one.tax),
            str(one.total),
            *(coins(sum_) for sum_ in (balance.kept, balance.credited, balance.written_off, balance.open)),
        ]
        for one, balance in balances
    )
    return streamed_table(name, INVOICES, rows)


def aging_table(name: str, aging: Aging, currency: str) -> StreamingHttpResponse:
    """A row for each customer who owes or has something here; what is on each side stands in columns of its own."""
    rows = (
        [
            row.customer.name,
            currency,
            *(
                coins(sum_)
                for sum_ in (
                    *row.sums, row.on_invoices, row.back, row.total, row.held.deposits, row.held.credit
                )
            ),
        ]
        for row in aging.rows
    )  # fmt: skip
    return streamed_table(name, AGING, rows)


def journal_table(name: str, entries: Iterable[Entry], accounts: Mapping[str, ShownAccount]) -> StreamingHttpResponse:
    """A row for each line of each entry; the lines of an entry bear its key, which never changes, and balance."""
    return streamed_table(name, JOURNAL, journal_rows(entries, accounts))


def journal_rows(entries: Iterable[Entry], accounts: Mapping[str, ShownAccount]) -> Iterator[list[str]]:
    """The same as rows."""
    for entry in entries:
        for one in entry.postings:
            account = accounts.get(one.role, ShownAccount(one.role, one.role))
            yield [
                entry.key,
                entry.day.isoformat(),
                entry.document,
                entry.customer,
                entry.text,
                account.code,
                account.words,
                coins(one.debit) if one.debit else "",
                coins(one.credit) if one.credit else "",
            ]
