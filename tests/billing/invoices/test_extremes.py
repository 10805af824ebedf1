"""The smallest and the largest that money can be, and a shop whose currency changed."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils.html import strip_tags

from billing.estimates.actions import add_estimate_line, give_estimate, start_estimate
from billing.estimates.queries import worked_out
from billing.invoices.models import Invoice
from commands.refusals import Refused
from staff.models import ShopProfile
from workorders.actions import add_charge, change_job_discount
from workorders.models import Charge
from workorders.reckoning import ChargeKind
from workorders.taxes.actions import add_tax

D = Decimal


def page(money: Any, name: str, *args: Any, space: str = "invoices") -> str:
    client = Client()
    client.force_login(money.cast.manager)
    return " ".join(strip_tags(client.get(reverse(f"{space}:{name}", args=args)).content.decode()).split())


def test_what_no_line_comes_to_is_refused_beside_the_price(money: Any) -> None:
    with pytest.raises(Refused) as told:
        money.charge("9999999", quantity="2")
    assert told.value.sentence == "That comes to $19,999,998.00, which is more than one charge can be."
    assert "unit_price" in told.value.fields
    assert not Charge.objects.exists()
    largest = money.charge("9999999.00")
    assert money.invoice(charges=[largest]).total == D("9999999.00")


def test_what_no_paper_comes_to_is_refused_in_a_sentence(money: Any) -> None:
    for _ in range(11):
        money.charge("9999999.00")
    with pytest.raises(Refused, match=r"No invoice is made over more than \$99,999,999.99"):
        money.invoice()
    assert not Invoice.objects.exists()
    assert "$109,999,989.00" in page(money, "job", money.job.number)


def test_an_estimate_that_no_job_comes_to_is_not_given(money: Any) -> None:
    estimate = start_estimate(by=money.cast.desk, job=money.job)
    told = {"kind": "fee", "description": "Refit", "quantity": D(900), "unit_price": D(9999999)}
    add_estimate_line(by=money.cast.desk, estimate=estimate, told=told)
    total = worked_out(estimate, currency="USD").figures.base.total
    with pytest.raises(Refused, match="No estimate is made over more than"):
        give_estimate(by=money.cast.desk, estimate=estimate, how="printed", seen_total=total)


def test_cents_and_their_halves_from_the_charge_to_the_last_credit(money: Any) -> None:
    """0.01 of 0.50 is half a cent and makes one; 0.01 of 0.49 makes none. Each of three cents is taxed at a third."""
    add_tax(by=money.cast.owner, name="State", percent=D("33.333"), kinds=[ChargeKind.FEE])
    half, less = money.charge("0.50", quantity="0.01"), money.charge("0.49", quantity="0.01")
    cents = [money.charge("0.01") for _ in range(3)]
    invoice = money.invoice()
    assert (invoice.net, invoice.tax) == (D("0.04"), D("0.01"))
    notes = [money.credit(invoice, charges=[charge]) for charge in (less, half, *cents)]
    assert [note.net for note in notes] == [0, D("0.01"), D("0.01"), D("0.01"), D("0.01")]
    assert sum(note.tax for note in notes) == D("0.01")
    assert money.balance(invoice)[-1] == "0.00"


def test_a_discount_of_the_whole_larger_than_what_is_left_to_invoice(money: Any) -> None:
    """$90 off a job of $100: what an invoice gave stays given, and nothing is ever below zero."""
    first, second = money.charge("60"), money.charge("40")
    money.job.refresh_from_db()
    change_job_discount(by=money.cast.desk, job=money.job, amount=D(90))
    made = money.invoice(charges=[first])
    assert made.total == D("6.00")
    money.credit(made)
    assert money.worth([second]) == 0  # $90 off the $40 that are left is all of it
    last = money.invoice(charges=[second])
    assert (last.total, money.credit(last).total) == (0, 0)


def test_money_in_the_currency_of_before_is_told_beside_the_sums_of_now(money: Any) -> None:
    invoice = money.invoice("100")
    customer = money.job.customer
    assert "beside" not in page(money, "customer", customer.pk).split("Open invoices")[0]
    ShopProfile.objects.update(currency="EUR")
    for told in (page(money, "customer", customer.pk), page(money, "customer", customer.pk, space="vessels")):
        assert "The shop is owed nothing in EUR by Wes Harrow." in told
        assert "There is money in USD as well, of before the shop’s currency was changed." in told
    assert "There is money in USD as well, of before the shop’s currency was changed." in page(money, "aging")
    assert "$100.00 is open." in page(money, "invoice", invoice.pk)


def test_a_charge_past_any_sum_is_refused_before_it_is_stopped(money: Any) -> None:
    with pytest.raises(Refused, match="more than one charge can be"):
        add_charge(
            by=money.cast.desk, job=money.job, kind="part", description="Engine", quantity=D("9999999.99"),
            unit_price=D(9999999),
        )  # fmt: skip
