"""Boundary and absurd cases of money, as a careful bookkeeper would have them told."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from typing import Any

from django.test import Client
from django.urls import reverse
from django.utils import timezone

from billing.invoices.actions import reverse_payment
from billing.invoices.models import Payment
from billing.invoices.queries.books import journal_entries
from billing.invoices.queries.lists import receivables, statement_of
from workorders.actions import change_job_discount


def page(money: Any, name: str, pk: int, *, by: str = "manager") -> str:
    client = Client()
    client.force_login(getattr(money.cast, by))
    return " ".join(client.get(reverse(f"invoices:{name}", args=[pk])).content.decode().split())


def rows(money: Any) -> list[str]:
    return [row.what for row in statement_of(money.job.customer, "USD", timezone.localdate()).rows]


def test_an_invoice_over_nothing_is_not_called_paid(money: Any) -> None:
    money.charge("100")
    money.job.refresh_from_db()
    change_job_discount(by=money.cast.desk, job=money.job, percent=Decimal(100))
    invoice = money.invoice()
    assert (invoice.total, invoice.net, invoice.tax) == (0, 0, 0)
    told = page(money, "invoice", invoice.pk)
    assert "Nothing is open: it is over nothing." in told
    assert "−$100.00" in told


def test_what_is_due_today_is_not_overdue_and_not_called_not_due(money: Any) -> None:
    invoice = money.invoice("100")
    assert invoice.due_on == timezone.localdate()
    today = receivables(timezone.localdate(), "USD")
    assert dict(today.cells)["Not overdue"] == 100
    tomorrow = receivables(timezone.localdate() + timedelta(days=1), "USD")
    assert (dict(tomorrow.cells)["Not overdue"], dict(tomorrow.cells)["1–30 days"]) == (0, 100)


def test_what_was_written_off_is_not_said_to_be_creditable(money: Any) -> None:
    invoice = money.invoice("100")
    assert "$100.00 of this invoice can be credited. The invoice stays" in page(money, "credit", invoice.pk)
    money.write_off(invoice, "30")
    told = page(money, "credit", invoice.pk)
    assert "$70.00 of this invoice can be credited, and $30.00 more once its write-off is reversed." in told
    assert money.credit(invoice, "70").total == 70


def test_what_may_be_paid_back_is_less_what_the_customer_owes(money: Any) -> None:
    invoice = money.invoice("100")
    check = money.pay(invoice, "130", "check")
    money.refund("30")
    reverse_payment(by=money.cast.desk, payment=check, reason="Not honored")
    money.pay(invoice, "150")
    told = page(money, "refund", invoice.customer_id)
    assert "The shop has $50.00 of Wes Harrow. It is owed $30.00 by Wes Harrow on no invoice" in told
    assert "no more than $20.00 may be paid back" in told
    assert 'value="20' in told


def test_what_was_reversed_is_called_what_it_was(money: Any) -> None:
    invoice = money.invoice("100")
    money.pay(invoice, "130", "check", reference="77")
    money.refund("30")
    deposit = money.deposit("5", "card")
    reverse_payment(by=money.cast.desk, payment=Payment.objects.get(kind="refunded"), reason="Not sent")
    reverse_payment(by=money.cast.desk, payment=deposit, reason="Another boat")
    reverse_payment(by=money.cast.desk, payment=invoice.payments.get(kind="received"), reason="Not honored")
    assert rows(money)[-3:] == [
        "Reversed: paid back, cash",
        f"Reversed: deposit for job {money.job.number}, card",
        f"Reversed: payment on invoice {invoice}, check 77",
    ]
    today = timezone.localdate()
    texts = [entry.text for entry in journal_entries(today, today)]
    assert texts.count("Money that was paid back: reversed") == 1
    assert texts.count("Payment reversed") == 2
    assert money.balance(invoice)[-1] == "100.00"
