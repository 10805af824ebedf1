"""What a statement says of a sum of money: every invoice that it paid, as a bookkeeper who reads both would say it."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from django.utils import timezone

from billing.invoices.actions import reverse_payment, use_credit
from billing.invoices.queries.lists import invoices_words, statement_of

D = Decimal


def said(money: Any) -> list[str]:
    rows = statement_of(money.job.customer, "USD", timezone.localdate()).rows
    return [row.what for row in rows if not row.what.startswith(("Invoice", "Credit note"))]


def use(money: Any, invoice: Any, amount: str) -> None:
    use_credit(by=money.cast.desk, invoice=invoice, amount=D(amount))


def test_a_payment_of_one_invoice_names_it(money: Any) -> None:
    money.pay(money.invoice("100"), "60", "check", reference="1021")
    assert said(money) == ["Payment on invoice INV-1001, check 1021"]


def test_a_payment_that_paid_two_names_both(money: Any) -> None:
    first, second = money.invoice("100"), money.invoice("80")
    money.pay(first, "150", "check", reference="1021")
    assert said(money) == ["Payment on invoice INV-1001, check 1021"]  # the rest is held
    use(money, second, "50")
    assert said(money) == ["Payment on invoices INV-1001 and INV-1002, check 1021"]


def test_a_payment_with_nothing_open_names_what_it_paid_later(money: Any) -> None:
    first = money.invoice("100")
    money.pay(first, "100")
    money.pay(first, "30", "card")
    assert said(money) == ["Payment on invoice INV-1001, cash", "Payment, card"]
    use(money, money.invoice("80"), "30")
    assert said(money) == ["Payment on invoice INV-1001, cash", "Payment on invoice INV-1002, card"]


def test_what_was_set_free_and_used_elsewhere_names_both(money: Any) -> None:
    first = money.invoice("100")
    money.pay(first, "100")
    money.credit(first)
    use(money, money.invoice("60"), "60")
    assert said(money) == ["Payment on invoices INV-1001 and INV-1002, cash"]


def test_its_reversal_names_the_same(money: Any) -> None:
    first, second = money.invoice("100"), money.invoice("80")
    payment = money.pay(first, "150", "check", reference="1021")
    use(money, second, "50")
    reverse_payment(by=money.cast.desk, payment=payment, reason="Not honored")
    assert said(money) == [
        "Payment on invoices INV-1001 and INV-1002, check 1021",
        "Reversed: payment on invoices INV-1001 and INV-1002, check 1021",
    ]


def test_a_deposit_is_for_its_job_whatever_it_paid(money: Any) -> None:
    money.deposit("50")
    money.invoice("20")
    money.invoice("20")
    assert said(money) == [f"Deposit for job {money.job.number}, check"]


def test_money_that_went_out_names_no_invoice(money: Any) -> None:
    first = money.invoice("100")
    money.pay(first, "150")
    refund = money.refund("50")
    reverse_payment(by=money.cast.desk, payment=refund, reason="Came back")
    assert said(money) == ["Payment on invoice INV-1001, cash", "Paid back, cash", "Reversed: paid back, cash"]


@pytest.mark.parametrize(
    ("numbers", "words"),
    [
        ([], ""),
        (["A"], " on invoice A"),
        (["A", "B"], " on invoices A and B"),
        (["A", "B", "C"], " on invoices A, B and C"),
        (["A", "B", "A"], " on invoices A and B"),
        (list("ABCDE"), " on invoices A, B, C, D and E"),
        (list("ABCDEF"), " on invoices A, B, C, D and 2 more"),
        (list("ABCDEFGHIJ"), " on invoices A, B, C, D and 6 more"),
    ],
)
def test_invoices_in_words(numbers: list[str], words: str) -> None:
    assert invoices_words(numbers) == words
