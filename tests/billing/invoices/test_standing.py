"""What the database sums over all invoices is what each invoice says of itself; and Today tells what is overdue."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from billing.invoices.models import OpenInvoice
from billing.invoices.queries.balances import balance_now
from billing.invoices.queries.lists import BUCKETS, filtered, receivables
from billing.invoices.queries.open_sums import overdue, owed_sums


@pytest.fixture
def invoices(money):
    """Open, part paid, paid, credited whole, credited in part, written off in part, and over nothing."""
    made = [money.invoice(price) for price in ("10", "20", "30", "40", "50", "60", "0")]
    money.pay(made[1], "5")
    money.pay(made[2], "30")
    money.credit(made[3])
    money.pay(made[4], "50")
    money.credit(made[4], "20")
    money.write_off(made[5], "59.99")
    return made


def test_the_database_and_each_invoice_agree(invoices):
    is_open = {one.pk for one in invoices if balance_now(one).open}
    assert dict(OpenInvoice.objects.values_list("pk", "open")) == {
        one.pk: balance_now(one).open for one in invoices if one.pk in is_open
    }
    today = timezone.localdate()
    assert {one.pk for one in filtered("open", today)} == is_open
    assert {one.pk for one in filtered("paid", today)} == {one.pk for one in invoices} - is_open
    assert sum(one.sum for one in owed_sums(today, "USD")) == sum(balance_now(one).open for one in invoices)
    assert owed_sums(today, "EUR") == []


@pytest.mark.parametrize(
    ("late", "bucket"),
    [(-5, 0), (0, 0), (1, 1), (30, 1), (31, 2), (60, 2), (61, 3), (90, 3), (91, 4), (4000, 4)],
)
def test_a_column_of_the_aging_begins_where_it_says(money, late: int, bucket: int):
    invoice = money.invoice("10")
    today = invoice.due_on + timedelta(days=late)
    (one,) = owed_sums(today, "USD")
    assert one.bucket == bucket
    (row,) = receivables(today, "USD").rows
    assert dict(row.cells)[BUCKETS[one.bucket]] == Decimal(10)


def test_today_tells_the_office_what_is_overdue_and_nobody_else(invoices, cast, job):
    tomorrow = timezone.localdate() + timedelta(days=1)
    found = overdue(tomorrow, "USD", at_most=2)
    assert [(one.number, one.open) for one in found.rows] == [("INV-1001", Decimal(10)), ("INV-1002", Decimal(15))]
    assert (found.count, found.more, found.sum) == (3, 1, Decimal("25.01"))
    assert {one.credit for one in found.rows} == {Decimal(20)}  # one that was paid is credited in part
    assert (overdue(timezone.localdate(), "USD", at_most=2).count, overdue(tomorrow, "EUR", at_most=2).sum) == (0, 0)


@pytest.mark.parametrize("role", ["desk", "manager", "owner", "tech"])
def test_the_strip_on_today(invoices, cast, role: str, monkeypatch):
    monkeypatch.setattr("shopfloor.today.timezone.localdate", lambda: invoices[0].due_on + timedelta(days=3))
    client = Client()
    client.force_login(getattr(cast, role))
    with CaptureQueriesContext(connection) as queries:
        page = client.get("/").content.decode()
    is_told = role != "tech"
    assert ("Invoices overdue" in page, "$25.01 in all" in page) == (is_told, is_told)
    assert ("Credit of $20.00 is not used yet." in page) == is_told
    asked = [one["sql"] for one in queries.captured_queries if "invoices_openinvoice" in one["sql"]]
    assert len(asked) == is_told
