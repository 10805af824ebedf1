"""Who owes whom: the words, the page of what is owed with its table to keep, and the accounts of the journal."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from typing import Any

import lxml.html
import pytest
from django.template.loader import render_to_string
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from billing.invoices import journal
from billing.invoices.actions import cover_owed, reverse_payment
from billing.invoices.between import Between
from billing.invoices.holding import Came, Turn, Used, groups_of, steps_of
from billing.invoices.journal import CREDIT, DEPOSITS, OWED_BACK
from billing.invoices.models import Payment
from billing.invoices.queries.books import journal_entries
from billing.invoices.queries.lists import receivables, statement_of
from staff.queries import shop_profile
from workorders.actions import move_job

WORDS = [
    # what is open, paid out to them, deposited, owed to them
    ((0, 0, 0, 0), "The shop is owed nothing by Wes Harrow."),
    ((100, 0, 0, 0), "The shop is owed $100.00 by Wes Harrow on invoices."),
    ((0, 350, 0, 0), "The shop is owed $350.00 by Wes Harrow for money that was paid out to them."),
    (
        (100, 30, 0, 0),
        "The shop is owed $130.00 by Wes Harrow: $100.00 on invoices and $30.00 for money that was paid out to them.",
    ),
    ((0, 0, 0, 350), "The shop is owed nothing by Wes Harrow. The shop owes Wes Harrow $350.00."),
    (
        (0, 0, 80, 0),
        "The shop is owed nothing by Wes Harrow. The shop holds $80.00 as a deposit for work that is not over.",
    ),
    (
        ("0.01", 0, 80, "0.02"),
        "The shop is owed $0.01 by Wes Harrow on invoices. The shop owes Wes Harrow $0.02, and holds $80.00 as a "
        "deposit for work that is not over.",
    ),
    (
        (0, 30, 0, 30),  # both at once: neither is set against the other by itself
        "The shop is owed $30.00 by Wes Harrow for money that was paid out to them. The shop owes Wes Harrow $30.00.",
    ),
    ((9999999, 0, 0, 0), "The shop is owed $9,999,999.00 by Wes Harrow on invoices."),
]


@pytest.mark.parametrize(("sums", "told"), WORDS)
def test_each_sum_says_who_owes_whom(sums: tuple[Any, ...], told: str) -> None:
    invoices, back, deposits, credit = (Decimal(one) for one in sums)
    found = Between("Wes Harrow", "USD", invoices, back, deposits, credit)
    assert found.told == told
    assert found.balance == invoices + back - deposits - credit


NOON = datetime(2026, 3, 2, 12, tzinfo=UTC)


def at(minutes: int) -> datetime:
    return NOON + timedelta(minutes=minutes)


def used(key: int, amount: int) -> Used:
    return Used(key, 1, at(key), Decimal(amount))


STEPS: dict[str, tuple[Came, list[Used], list[Turn], list[dict[str, int]]]] = {
    "a payment that is used": (Came(at(0), Decimal(100), False), [used(1, 100)], [], [{CREDIT: -100}, {CREDIT: 100}]),
    "a deposit that is used in part": (
        Came(at(0), Decimal(100), True), [used(1, 60)], [], [{DEPOSITS: -100}, {DEPOSITS: 60}],
    ),
    "a deposit whose job ends, goes on again, and ends": (
        Came(at(0), Decimal(100), True), [used(1, 60)],
        [Turn("4", at(2), False), Turn("5", at(3), True), Turn("6", at(4), False)],
        [
            {DEPOSITS: -100}, {DEPOSITS: 60}, {CREDIT: -40, DEPOSITS: 40}, {DEPOSITS: -40, CREDIT: 40},
            {CREDIT: -40, DEPOSITS: 40},
        ],
    ),
    "a deposit that is used up before its job ends": (
        Came(at(0), Decimal(100), True), [used(1, 100)], [Turn("4", at(2), False)], [{DEPOSITS: -100}, {DEPOSITS: 100}],
    ),
    "a deposit that is used after its job ended": (
        Came(at(0), Decimal(100), True), [used(3, 100)], [Turn("4", at(2), False)],
        [{DEPOSITS: -100}, {CREDIT: -100, DEPOSITS: 100}, {CREDIT: 100}],
    ),
    "other money does not care whether a job ends": (
        Came(at(0), Decimal(100), False), [], [Turn("4", at(2), False)], [{CREDIT: -100}],
    ),
    "a check of which 30 were paid out bounces, and is covered": (
        Came(at(0), Decimal(130), False), [used(1, 100), used(2, 30), used(3, -100), used(4, 130), used(5, -30)], [],
        [{CREDIT: -130}, {CREDIT: 100}, {CREDIT: 30}, {CREDIT: -100}, {OWED_BACK: 30, CREDIT: 100}, {OWED_BACK: -30}],
    ),
    "at one moment: it came in, was used, and the job ended": (
        Came(NOON, Decimal(100), True), [Used(1, 1, NOON, Decimal(60))], [Turn("4", NOON, False)],
        [{DEPOSITS: -100}, {DEPOSITS: 60}, {CREDIT: -40, DEPOSITS: 40}],
    ),
}  # fmt: skip


@pytest.mark.parametrize("case", STEPS)
def test_each_step_moves_money_between_the_right_accounts(case: str) -> None:
    came, uses, turns, expected = STEPS[case]
    told = [{one.role: int(one.amount) for one in lines} for _, lines in steps_of(came, uses, turns)]
    assert told == expected


def test_uses_of_money_that_went_out_are_told_from_those_that_cover_it() -> None:
    refund = [used(1, 20), used(2, 10)]
    assert groups_of(Decimal(-30), refund) == [refund]
    bounced, covered = [used(3, 130)], [used(4, -30), used(5, 20), used(6, 10)]
    assert groups_of(Decimal(-130), [*bounced, *covered]) == [bounced, covered]
    assert groups_of(Decimal(30), [used(7, -20), used(8, -10)]) == [[used(7, -20), used(8, -10)]]


def sums_of_days() -> dict[str, Decimal]:
    today = timezone.localdate()
    return journal.balance_of(journal_entries(today - timedelta(days=3), today + timedelta(days=3)))


def test_a_deposit_is_a_deposit_until_its_job_is_over_and_then_owed_to_the_customer(money: Any) -> None:
    money.deposit("80")
    customer = money.job.customer
    assert statement_of(customer, "USD", timezone.localdate()).between.told.endswith(
        "The shop holds $80.00 as a deposit for work that is not over."
    )
    assert (sums_of_days().get(DEPOSITS), sums_of_days().get(CREDIT)) == (-80, None)
    money.job.refresh_from_db()
    move_job(by=money.cast.desk, job=money.job, to="canceled", reason="Sold", seen_version=money.job.version)
    assert statement_of(customer, "USD", timezone.localdate()).between.told.endswith("The shop owes Wes Harrow $80.00.")
    assert (sums_of_days()[DEPOSITS], sums_of_days()[CREDIT]) == (0, -80)
    today = timezone.localdate()
    texts = [entry.text for entry in journal_entries(today - timedelta(days=1), today + timedelta(days=1))]
    assert f"Credit left of job {money.job.number}, which ended" in texts
    money.refund("80")
    assert (sums_of_days()[DEPOSITS], sums_of_days()[CREDIT]) == (0, 0)


def bounced(money: Any, invoice: Any) -> None:
    """A check over $30 more than the invoice; the $30 were paid back, then it was not honored."""
    check = money.pay(invoice, "130", "check")
    money.refund("30")
    reverse_payment(by=money.cast.desk, payment=check, reason="Not honored")


ACCOUNTS: list[tuple[str, Callable[[Any, Any], object], dict[str, int]]] = [
    ("overpaid", lambda m, i: m.pay(i, "350"), {CREDIT: -250}),
    ("credited after it was paid", lambda m, i: (m.pay(i, "100"), m.credit(i, "35")), {CREDIT: -35}),
    ("credited before it was paid", lambda m, i: m.credit(i, "35"), {}),
    ("a deposit for another invoice", lambda m, i: m.deposit("40"), {DEPOSITS: -40}),
    ("bounced after it was paid back", bounced, {OWED_BACK: 30}),
    ("and covered by another payment", lambda m, i: (bounced(m, i), m.owed("30")), {}),
    (
        "and covered by credit",
        lambda m, i: (bounced(m, i), m.pay(i, "120"), cover_owed(by=m.cast.desk, customer=i.customer)),
        {OWED_BACK: 10},
    ),
    ("and written off", lambda m, i: (bounced(m, i), m.loose("theirs", "30")), {}),
    ("too much, written off", lambda m, i: (m.pay(i, "100.07"), m.loose("ours", "0.07")), {}),
    (
        "the payment back was not made after all",
        lambda m, i: (
            bounced(m, i),
            reverse_payment(by=m.cast.desk, payment=Payment.objects.get(kind="refunded"), reason="Kept"),
        ),
        {},
    ),
]


@pytest.mark.parametrize(("act", "expected"), [row[1:] for row in ACCOUNTS], ids=[row[0] for row in ACCOUNTS])
def test_the_journal_keeps_each_sum_where_it_belongs(
    money: Any, act: Callable[[Any, Any], object], expected: dict[str, int]
) -> None:
    act(money, money.invoice("100"))
    sums = sums_of_days()
    found = {role: sums.get(role, Decimal(0)) for role in (DEPOSITS, CREDIT, OWED_BACK)}
    assert {role: int(sum_) for role, sum_ in found.items() if sum_} == expected


def test_money_owed_to_a_customer_stands_apart_and_those_who_owe_nothing_are_there(money: Any, cast: Any) -> None:
    """Overpaid by $250: nobody owes the shop anything, and the page does not say that it is not overdue."""
    invoice = money.invoice("100")
    money.pay(invoice, "350")
    client = Client()
    client.force_login(cast.desk)
    page = " ".join(client.get(reverse("invoices:aging")).content.decode().split())
    assert "Customers owe the shop $0.00; the shop owes customers $250.00." in page
    assert "No customer owes anything" in page
    aging = receivables(timezone.localdate(), "USD")
    assert (aging.total, aging.held.credit, [row.customer for row in aging.having]) == (0, 250, [invoice.customer])
    told = client.get(reverse("invoices:aging_csv"))
    (row,) = csv.DictReader(io.StringIO(b"".join(told.streaming_content).decode()))  # type: ignore[attr-defined]
    assert {name: text for name, text in row.items() if text != "0.00"} == {
        "Customer": "Wes Harrow", "Currency": "USD", "Owed to customer": "250.00",
    }  # fmt: skip


def test_the_table_to_keep_closes_as_the_page_does(money: Any, cast: Any) -> None:
    bounced(money, money.invoice("100"))
    money.deposit("40")
    client = Client()
    client.force_login(cast.desk)
    told = client.get(reverse("invoices:aging_csv"))
    (row,) = csv.DictReader(io.StringIO(b"".join(told.streaming_content).decode()))  # type: ignore[attr-defined]
    aging = receivables(timezone.localdate(), "USD")
    assert sum(Decimal(row[name]) for name in aging.buckets) == Decimal(row["Open on invoices"]) == aging.on_invoices
    assert (row["Owed on no invoice"], row["Customer owes"]) == ("30.00", "130.00")
    assert (row["Deposits held"], row["Owed to customer"]) == ("40.00", "0.00")


def test_a_statement_on_paper_says_who_owes_whom(money: Any) -> None:
    invoice = money.invoice("100")

    def told() -> list[tuple[str, str]]:
        statement = statement_of(invoice.customer, "USD", timezone.localdate())
        paper = render_to_string("billing/paper/statement.html", {"statement": statement, "shop": shop_profile()})
        rows = lxml.html.fromstring(paper).xpath("//table[contains(@class, 'bp-sums')]//tr")
        return [(row[0].text_content(), row[1].text_content()) for row in rows]

    assert told() == [("You owe on invoices", "$100.00"), ("Balance: you owe us", "$100.00")]
    money.pay(invoice, "350")
    money.deposit("40")
    assert told() == [
        ("You owe on invoices", "$0.00"),
        ("We hold as your deposit for work that is not over", "$40.00"),
        ("We owe you", "$250.00"),
        ("Balance in your favor", "$290.00"),
    ]
