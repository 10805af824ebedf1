"""Sentences of the pages about money in odd cases: nothing owed, all credited, all written off, a job that is over."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils.html import strip_tags

from billing.invoices.actions import reverse_loose_write_off, reverse_payment, reverse_write_off
from billing.invoices.models import Payment
from workorders.actions import move_job


def page(money: Any, name: str, *args: Any) -> str:
    """The words of a page, wherever it leads."""
    client = Client()
    client.force_login(money.cast.manager)
    answer = client.get(reverse(f"invoices:{name}", args=args), follow=True)
    return " ".join(strip_tags(answer.content.decode()).split())


def test_where_nothing_is_owed_no_page_says_why_it_is(money: Any) -> None:
    customer = money.job.customer
    told = page(money, "owed", customer.pk)
    assert "The shop is owed nothing by Wes Harrow that stands on no invoice." in told
    assert "paid out to them" not in told
    assert "paid out to them" not in page(money, "off_owed", customer.pk)
    assert "The shop has no money of Wes Harrow." in page(money, "refund", customer.pk)
    assert "The shop owes Wes Harrow nothing." in page(money, "off_credit", customer.pk)


def test_a_job_without_charges_is_not_said_to_be_invoiced(money: Any) -> None:
    told = page(money, "make", money.job.number)
    assert "No charge on this job waits to be invoiced." in told
    assert "invoiced already" not in told


def test_a_write_off_that_was_reversed_is_not_offered_to_be_reversed(money: Any) -> None:
    invoice = money.invoice("100")
    off = money.write_off(invoice, "40")
    assert "$40.00 will be open again." in page(money, "write_off_reverse", off.pk)
    reversal = reverse_write_off(by=money.cast.manager, write_off=off, reason="Paid after all")
    assert "This was already reversed." in page(money, "write_off_reverse", off.pk)
    told = page(money, "write_off_reverse", reversal.pk)
    assert "This is a reversal itself. Note the write-off again instead." in told
    assert "will be open again" not in told


def test_a_write_off_on_no_invoice_is_reversed_once(money: Any) -> None:
    money.pay(money.invoice("100"), "100.07")
    off = money.loose("ours", "0.07")
    reversal = reverse_loose_write_off(by=money.cast.manager, write_off=off, reason="Asked for it")
    assert "This was already reversed." in page(money, "loose_off_reverse", off.pk)
    assert "This is a reversal itself." in page(money, "loose_off_reverse", reversal.pk)


@pytest.mark.parametrize(
    ("what", "said"),
    [
        ("payment", "What it pays is open again."),
        ("deposit", "It pays no invoice."),
        ("credited", "It pays no invoice."),
        ("refund", "It is money of Wes Harrow that the shop has, as before."),
    ],
)
def test_what_comes_of_reversing_is_said_as_it_is(money: Any, what: str, said: str) -> None:
    invoice = money.invoice("100")
    row = money.deposit("30") if what == "deposit" else money.pay(invoice, "100")
    if what in {"credited", "refund"}:
        money.credit(invoice)
    if what == "refund":
        money.refund("20")
        row = Payment.objects.get(kind="refunded")
    assert said in page(money, "payment_reverse", row.pk)


def test_how_an_invoice_was_settled_by_several_is_told(money: Any) -> None:
    invoice = money.invoice("100")
    money.pay(invoice, "99.99")
    money.write_off(invoice, "0.01")
    assert "Nothing is open: it is partly paid and partly written off." in page(money, "invoice", invoice.pk)


def test_a_deposit_of_a_job_that_was_canceled_is_owed_to_the_customer(money: Any) -> None:
    money.deposit("30")
    told = page(money, "job", money.job.number)
    assert "The next invoice of this job takes it in, up to what that comes to." in told
    money.job.refresh_from_db()
    move_job(by=money.cast.desk, job=money.job, to="canceled", reason="Sold", seen_version=money.job.version)
    told = page(money, "job", money.job.number)
    assert "it is owed to Wes Harrow until it is used on an invoice, paid back or written off." in told
    assert "takes it in" not in told


def test_money_set_free_and_paid_back_is_not_said_to_be_held(money: Any) -> None:
    invoice = money.invoice("100")
    money.pay(invoice, "100")
    note = money.credit(invoice)
    money.refund("100")
    told = page(money, "invoice", invoice.pk)
    assert f"No longer owed since credit note {note}: Cash" in told
    assert "held for the customer" not in told


def test_a_payment_that_was_reversed_leaves_a_write_off_alone(money: Any) -> None:
    invoice = money.invoice("100")
    check = money.pay(invoice, "60", "check")
    money.write_off(invoice, "40")
    reverse_payment(by=money.cast.desk, payment=check, reason="Not honored")
    assert "$60.00 is open." in page(money, "invoice", invoice.pk)


def test_what_was_paid_back_is_a_sum_above_zero(money: Any) -> None:
    """“Paid back” says which way it went; a reversal has the sign of what it takes away."""
    money.deposit("40")
    money.refund("15")
    client = Client()
    client.force_login(money.cast.manager)
    page = client.get(reverse("invoices:customer", args=[money.job.customer_id])).content.decode()
    assert "Paid back: $15.00" in page
    assert "Received: $40.00" in page
