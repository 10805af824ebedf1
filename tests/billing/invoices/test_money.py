"""What is open and what is held, as a careful bookkeeper would have it: told step by step, and whatever happens."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal
from typing import Any
from uuid import uuid4

import lxml.html
import pytest
from django.db import DatabaseError, transaction
from django.db.models import Sum
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from hypothesis import given, settings
from hypothesis import strategies as st

from billing.invoices import journal
from billing.invoices.actions import (
    cover_owed,
    make_invoice,
    receive_payment,
    reverse_loose_write_off,
    reverse_payment,
    reverse_write_off,
    use_credit,
)
from billing.invoices.balance import Balance, taken_from
from billing.invoices.models import Invoice, LooseWriteOff, OpenInvoice, Payment, PaymentRest, Use
from billing.invoices.queries.balances import balance_now, held_for, held_payments, in_two, owed_back_by
from billing.invoices.queries.books import day_book, journal_entries, means_sums
from billing.invoices.queries.lists import receivables, statement_of
from commands.questions import Questions, asking
from commands.refusals import Refused
from staff.queries import shop_profile
from workorders.actions import add_charge, move_job, open_job, strike_charge
from workorders.states import JobState


def bounced(money: Any, invoice: Invoice) -> None:
    """A check over $30 more than the invoice; the $30 were paid back, then it was not honored."""
    check = money.pay(invoice, "130", "check")
    money.refund("30")
    reverse_payment(by=money.cast.desk, payment=check, reason="Not honored")


# What is done, and what the invoice of $100 says then: paid, set free, credited, written off, open; and what is held.
STORIES: dict[str, list[tuple[Callable[[Any, Invoice], Any], tuple[str, ...], str]]] = {
    "paid at once": [(lambda m, i: m.pay(i, "100"), ("100.00", "0", "0", "0", "0.00"), "0")],
    "paid in two parts": [
        (lambda m, i: m.pay(i, "30", "card"), ("30.00", "0", "0", "0", "70.00"), "0"),
        (lambda m, i: m.pay(i, "70", "check"), ("100.00", "0", "0", "0", "0.00"), "0"),
    ],
    "overpaid, and the rest paid back": [
        (lambda m, i: m.pay(i, "130"), ("100.00", "0", "0", "0", "0.00"), "30.00"),
        (lambda m, i: m.refund("30"), ("100.00", "0", "0", "0", "0.00"), "0"),
    ],
    "paid twice": [
        (lambda m, i: m.pay(i, "100"), ("100.00", "0", "0", "0", "0.00"), "0"),
        (lambda m, i: m.pay(i, "100", "card"), ("100.00", "0", "0", "0", "0.00"), "100.00"),
    ],
    "credited before it was paid": [
        (lambda m, i: m.credit(i, "40"), ("0", "0", "40.00", "0", "60.00"), "0"),
        (lambda m, i: m.pay(i, "60"), ("60.00", "0", "40.00", "0", "0.00"), "0"),
    ],
    "credited after it was paid: what is no longer owed is held": [
        (lambda m, i: m.pay(i, "100"), ("100.00", "0", "0", "0", "0.00"), "0"),
        (lambda m, i: m.credit(i, "40"), ("100.00", "40.00", "40.00", "0", "0.00"), "40.00"),
        (lambda m, i: m.refund("25"), ("100.00", "40.00", "40.00", "0", "0.00"), "15.00"),
        (lambda m, i: m.credit(i), ("100.00", "100.00", "100.00", "0", "0.00"), "75.00"),
    ],
    "half paid, half written off, paid after all": [
        (lambda m, i: m.pay(i, "50"), ("50.00", "0", "0", "0", "50.00"), "0"),
        (lambda m, i: m.write_off(i, "50"), ("50.00", "0", "0", "50.00", "0.00"), "0"),
        (lambda m, i: m.pay(i, "50", "transfer"), ("50.00", "0", "0", "50.00", "0.00"), "50.00"),
        (
            lambda m, i: reverse_write_off(by=m.cast.manager, write_off=i.write_offs.get(), reason="Paid"),
            ("50.00", "0", "0", "0.00", "50.00"),
            "50.00",
        ),
        (
            lambda m, i: use_credit(by=m.cast.desk, invoice=i, amount=Decimal(50)),
            ("100.00", "0", "0", "0.00", "0.00"),
            "0",
        ),
    ],
    "a check that was not honored": [
        (lambda m, i: m.pay(i, "100", "check", reference="1021"), ("100.00", "0", "0", "0", "0.00"), "0"),
        (
            lambda m, i: reverse_payment(by=m.cast.desk, payment=Payment.objects.get(), reason="Not honored"),
            ("100.00", "100.00", "0", "0", "100.00"),
            "0",
        ),
        (lambda m, i: m.pay(i, "100", "cash"), ("200.00", "100.00", "0", "0", "0.00"), "0"),
    ],
    "a check that bounced after its money was paid back: the customer owes it, and pays it": [
        (lambda m, i: m.pay(i, "130", "check"), ("100.00", "0", "0", "0", "0.00"), "30.00"),
        (lambda m, i: m.refund("30"), ("100.00", "0", "0", "0", "0.00"), "0"),
        (
            lambda m, i: reverse_payment(by=m.cast.desk, payment=i.payments.get(), reason="Not honored"),
            ("100.00", "100.00", "0", "0", "100.00"),
            "-30.00",
        ),
        (lambda m, i: m.pay(i, "110", "card"), ("200.00", "100.00", "0", "0", "0.00"), "-20.00"),
        (
            lambda m, i: cover_owed(by=m.cast.desk, customer=i.customer),
            ("200.00", "100.00", "0", "0", "0.00"),
            "-20.00",
        ),
        (lambda m, i: m.owed("5"), ("200.00", "100.00", "0", "0", "0.00"), "-15.00"),
        (lambda m, i: m.owed("15"), ("200.00", "100.00", "0", "0", "0.00"), "0"),
    ],
    "what covered a bounced check bounced as well": [
        (lambda m, i: m.pay(i, "130", "check"), ("100.00", "0", "0", "0", "0.00"), "30.00"),
        (lambda m, i: m.refund("30"), ("100.00", "0", "0", "0", "0.00"), "0"),
        (
            lambda m, i: reverse_payment(by=m.cast.desk, payment=i.payments.get(), reason="Not honored"),
            ("100.00", "100.00", "0", "0", "100.00"),
            "-30.00",
        ),
        (lambda m, i: m.owed("30"), ("100.00", "100.00", "0", "0", "100.00"), "0"),
        (
            lambda m, i: reverse_payment(by=m.cast.desk, payment=Payment.objects.latest("pk"), reason="Not honored"),
            ("100.00", "100.00", "0", "0", "100.00"),
            "-30.00",
        ),
        (
            lambda m, i: reverse_payment(by=m.cast.desk, payment=Payment.objects.get(kind="refunded"), reason="Kept"),
            ("100.00", "100.00", "0", "0", "100.00"),
            "0",
        ),
    ],
    "a check bounced after its money was paid back, and what is left of that is written off; then paid after all": [
        (bounced, ("100.00", "100.00", "0", "0", "100.00"), "-30.00"),
        (lambda m, i: m.loose("theirs", "29.93"), ("100.00", "100.00", "0", "0", "100.00"), "-0.07"),
        (lambda m, i: m.loose("theirs", "0.07"), ("100.00", "100.00", "0", "0", "100.00"), "0"),
        (
            lambda m, i: reverse_loose_write_off(
                by=m.cast.manager, write_off=LooseWriteOff.objects.latest("pk"), reason="Paid"
            ),
            ("100.00", "100.00", "0", "0", "100.00"),
            "-0.07",
        ),
        (lambda m, i: m.owed("0.07"), ("100.00", "100.00", "0", "0", "100.00"), "0"),
    ],
    "seven cents too much, and nobody wants them": [
        (lambda m, i: m.pay(i, "100.07"), ("100.00", "0", "0", "0", "0.00"), "0.07"),
        (lambda m, i: m.loose("ours", "0.07"), ("100.00", "0", "0", "0", "0.00"), "0"),
        (
            lambda m, i: reverse_loose_write_off(
                by=m.cast.manager, write_off=LooseWriteOff.objects.get(), reason="Asked for"
            ),
            ("100.00", "0", "0", "0", "0.00"),
            "0.07",
        ),
        (lambda m, i: m.refund("0.07"), ("100.00", "0", "0", "0", "0.00"), "0"),
    ],
    "a refund that was not made": [
        (lambda m, i: m.pay(i, "130"), ("100.00", "0", "0", "0", "0.00"), "30.00"),
        (lambda m, i: m.refund("20"), ("100.00", "0", "0", "0", "0.00"), "10.00"),
        (
            lambda m, i: reverse_payment(
                by=m.cast.desk, payment=Payment.objects.get(kind="refunded"), reason="Not sent"
            ),
            ("100.00", "0", "0", "0", "0.00"),
            "30.00",
        ),
    ],
}


def plain(told: str) -> Decimal:
    return Decimal(told)


@pytest.mark.parametrize("story", STORIES)
def test_each_step_is_what_a_bookkeeper_would_write(money, story: str) -> None:
    invoice = money.invoice("100")
    for act, expected, held in STORIES[story]:
        act(money, invoice)
        assert [plain(one) for one in money.balance(invoice)] == [plain(one) for one in expected]
        assert plain(money.held) - owed_back_by(invoice.customer, "USD") == plain(held)


REFUSALS: list[tuple[str, Callable[[Any, Invoice], Any], str]] = [
    ("a tenth of a cent", lambda m, i: m.pay(i, "0.001"), "smallest coin is \\$0.01"),
    ("nothing", lambda m, i: m.pay(i, "0"), "above zero"),
    ("less than nothing", lambda m, i: m.pay(i, "-5"), "above zero"),
    ("more than there is", lambda m, i: m.pay(i, "99999999"), "Check the sum"),
    ("in shells", lambda m, i: m.pay(i, "5", "shells"), "Choose how it was paid"),
    ("tomorrow", lambda m, i: m.pay(i, "5", day=timezone.localdate() + timedelta(days=2)), "in the future"),
    ("a long reference", lambda m, i: m.pay(i, "5", reference="x" * 81), "80 characters"),
    ("credit above the invoice", lambda m, i: m.credit(i, "100.01"), "Only \\$100.00 of this invoice is left"),
    ("credit of nothing", lambda m, i: m.credit(i, "0"), "above zero"),
    ("write-off above what is open", lambda m, i: m.write_off(i, "100.01"), "Only \\$100.00 is open"),
    ("paid back what is not held", lambda m, i: m.refund("0.01"), "Only \\$0.00 is held"),
    (
        "used what is not held",
        lambda m, i: use_credit(by=m.cast.desk, invoice=i, amount=Decimal(1)),
        "Only \\$0.00 is held",
    ),
    (
        "written off, then credited whole",
        lambda m, i: (m.write_off(i, "20"), m.credit(i)),
        "\\$20.00 of this invoice was written off",
    ),
    (
        "reversed twice",
        lambda m, i: [
            reverse_payment(by=m.cast.desk, payment=one, reason="Wrong") for one in [m.pay(i, "5")] for _ in "12"
        ],
        "already reversed",
    ),
    (
        "a reversal of a reversal",
        lambda m, i: reverse_payment(
            by=m.cast.desk, payment=reverse_payment(by=m.cast.desk, payment=m.pay(i, "5"), reason="x"), reason="x"
        ),
        "a reversal itself",
    ),
    ("paid back what nobody owes", lambda m, i: m.owed("1"), "Only \\$0.00 is owed by Wes Harrow"),
    (
        "covered what nobody owes",
        lambda m, i: cover_owed(by=m.cast.desk, customer=i.customer),
        "Nothing is owed",
    ),
    (
        "paid back although the customer owes it",
        lambda m, i: (bounced(m, i), m.pay(i, "120"), m.refund("1")),
        "\\$30.00 is owed by Wes Harrow: it was paid back .* Only \\$0.00 may be paid back",
    ),
    ("paid back more than is owed", lambda m, i: (bounced(m, i), m.owed("30.01")), "Only \\$30.00 is owed"),
    (
        "written off what nobody owes",
        lambda m, i: m.loose("theirs", "1"),
        "\\$0.00 is owed by Wes Harrow on no invoice",
    ),
    ("written off what is not owed to them", lambda m, i: m.loose("ours", "1"), "\\$0.00 is owed to Wes Harrow"),
    ("written off for neither side", lambda m, i: m.loose("both", "1"), "Choose what is written off"),
    (
        "written off more than they owe",
        lambda m, i: (bounced(m, i), m.loose("theirs", "30.01")),
        "\\$30.00 is owed by Wes Harrow on no",
    ),
    ("written off nothing", lambda m, i: (bounced(m, i), m.loose("theirs", "0")), "above zero"),
    (
        "written off a deposit for work that goes on",
        lambda m, i: (m.pay(i, "100"), m.deposit("40"), m.loose("ours", "1")),
        "\\$0.00 is owed to Wes Harrow",
    ),
    (
        "written off credit that an open invoice wants",
        lambda m, i: (m.pay(i, "130"), m.invoice("20"), m.loose("ours", "1")),
        "Invoice INV-1002 of Wes Harrow is open",
    ),
    (
        "written off credit of somebody who owes money on no invoice",
        lambda m, i: (bounced(m, i), m.pay(i, "120"), m.loose("ours", "1")),
        "Money is owed by Wes Harrow on no invoice",
    ),
    (
        "a check of which credit was written off bounced",
        lambda m, i: (
            m.pay(i, "130", "check"),
            m.loose("ours", "30"),
            reverse_payment(by=m.cast.desk, payment=i.payments.get(), reason="Not honored"),
        ),
        "\\$30.00 that comes from this was written off on .*Reverse that first",
    ),
    (
        "the payment back whose debt was written off was not made",
        lambda m, i: (
            bounced(m, i),
            m.loose("theirs", "5"),
            reverse_payment(by=m.cast.desk, payment=Payment.objects.get(kind="refunded"), reason="Kept"),
        ),
        "\\$5.00 that comes from this was written off",
    ),
    (
        "a write-off on no invoice reversed twice",
        lambda m, i: [
            reverse_loose_write_off(by=m.cast.manager, write_off=one, reason="Paid")
            for one in [(bounced(m, i), m.loose("theirs", "5"))[1]]
            for _ in "12"
        ],
        "already reversed",
    ),
    ("credited whole, then once more", lambda m, i: (m.credit(i), m.credit(i)), "Nothing of this is left"),
]


@pytest.mark.parametrize(("act", "sentence"), [row[1:] for row in REFUSALS], ids=[row[0] for row in REFUSALS])
def test_what_cannot_be_is_refused_with_a_sentence(money, act: Callable[..., Any], sentence: str) -> None:
    invoice = money.invoice("100")
    with pytest.raises(Refused, match=sentence):
        act(money, invoice)


def test_a_currency_without_cents_has_no_part_of_a_coin(money):
    shop = shop_profile()
    shop.currency = "JPY"
    shop.save()
    invoice = money.invoice("100")
    with pytest.raises(Refused, match=r"smallest coin is ¥1"):
        money.pay(invoice, "0.5")
    money.pay(invoice, "40")
    assert money.balance(invoice)[-1] == "60.00"


def test_no_money_is_noted_in_another_currency_than_the_shops(money):
    invoice = money.invoice("100")
    shop = shop_profile()
    shop.currency = "EUR"
    shop.save()
    with pytest.raises(Refused, match=r"in USD, and the shop’s currency is EUR now"):
        money.pay(invoice, "100")


def test_a_deposit_is_held_for_its_job_and_taken_into_its_invoice(money):
    money.deposit("80")
    assert money.held == "80.00"
    invoice = money.invoice("100")
    assert (money.balance(invoice)[-1], plain(money.held)) == ("20.00", 0)


def test_a_deposit_above_the_invoice_stays_for_the_next_one_of_the_job(money):
    money.deposit("150")
    first = money.invoice("100")
    assert (money.balance(first)[-1], money.held) == ("0.00", "50.00")
    second = money.invoice("70")
    assert (money.balance(second)[-1], plain(money.held)) == ("20.00", 0)


def test_the_deposit_of_another_job_that_goes_on_is_left_alone(money, cast):
    money.deposit("150")
    other = open_job(by=cast.desk, vessel=cast.vessel, concerns=["Paint"])
    add_charge(by=cast.desk, job=other, kind="fee", description="Paint", unit_price=Decimal(100))
    invoice = make_invoice(by=cast.desk, job=other, seen_total=Decimal(100))
    with pytest.raises(Refused, match=r"Only \$0.00 is held"):
        use_credit(by=cast.desk, invoice=invoice, amount=Decimal(100))
    assert money.held == "150.00"


def test_a_payment_sent_twice_is_one_and_with_other_content_none(money, cast):
    invoice, key = money.invoice("100"), uuid4()
    sent = {"by": cast.desk, "invoice": invoice, "means": "cash", "entry_id": key}
    assert receive_payment(amount=Decimal(40), **sent) == receive_payment(amount=Decimal(40), **sent)
    assert money.balance(invoice)[-1] == "60.00"
    with pytest.raises(Refused, match="other content"):
        receive_payment(amount=Decimal(41), **sent)


def test_too_much_and_the_same_once_more_are_asked_about(money):
    invoice = money.invoice("100")
    with asking(list), pytest.raises(Questions, match=r"Only \$100.00 is open.*\$20.00 would be held"):
        money.pay(invoice, "120")
    money.pay(invoice, "50")
    with asking(list), pytest.raises(Questions, match="same payment is noted already"):
        money.pay(invoice, "50")
    money.pay(invoice, "50")  # nobody waits: late sends are taken as they are
    with asking(list), pytest.raises(Questions, match=r"Nothing is open.*\$10.00 would be held"):
        money.pay(invoice, "10")
    assert (money.balance(invoice)[-1], plain(money.held)) == ("0.00", 0)


def test_who_may(money, cast):
    invoice = money.invoice("100")
    for act in [
        lambda: receive_payment(by=cast.tech, invoice=invoice, amount=Decimal(1), means="cash"),
        lambda: make_invoice(by=cast.tech, job=money.job, seen_total=Decimal(0)),
    ]:
        with pytest.raises(Refused, match="Your role does not allow"):
            act()
    money.cast.manager = cast.desk
    for act in [
        lambda: money.credit(invoice, "1"),
        lambda: money.write_off(invoice, "1"),
        lambda: money.refund("1"),
        lambda: money.loose("theirs", "1"),
    ]:
        with pytest.raises(Refused, match="Your role does not allow"):
            act()


def test_rows_of_money_are_changed_by_nobody(money):
    invoice = money.invoice("100")
    money.pay(invoice, "10")
    for change in [
        lambda: Invoice.objects.update(total=1),
        lambda: Payment.objects.update(means="card"),
        lambda: Use.objects.all().delete(),
    ]:
        with pytest.raises(DatabaseError), transaction.atomic():
            change()


def test_what_was_invoiced_is_voided_only_when_it_was_credited_whole(money, cast):
    charge = money.charge("100")
    other = money.charge("5")
    invoice = money.invoice()
    for _ in range(2):
        with pytest.raises(Refused, match=r"stands on invoice INV-1001\. Credit it there first"):
            strike_charge(by=cast.desk, charge=charge)
        money.credit(invoice, charges=[other]) if not invoice.credits.exists() else None
    money.credit(invoice, charges=[charge])
    strike_charge(by=cast.desk, charge=charge)
    charge.refresh_from_db()
    assert charge.is_struck


# --- whatever happens, in whatever order ---

SUMS = st.sampled_from(["0.01", "7.77", "25", "33.33", "50", "100", "123.45", "250"])
KINDS = [
    "pay", "pay2", "deposit", "credit", "refund", "off", "on", "use", "back", "back", "owed", "cover", "end", "theirs",
    "ours", "again",
]  # fmt: skip
ACTS = st.lists(st.tuples(st.sampled_from(KINDS), SUMS), min_size=3, max_size=14)


def ended_or_not(money: Any) -> None:
    """The job ends, or goes on again: what is left of its deposits changes its account."""
    money.job.refresh_from_db()
    to = JobState.CANCELED if money.job.is_open else JobState.ESTIMATE
    move_job(by=money.cast.manager, job=money.job, to=to, reason="Called off", seen_version=money.job.version)


def loosely_off(side: str) -> Decimal:
    """What stands written off on no invoice."""
    return LooseWriteOff.objects.filter(side=side).aggregate(sum=Sum("amount"))["sum"] or Decimal(0)


def done(money: Any, invoices: list[Invoice], act: str, amount: str) -> None:
    """One act, whatever comes of it."""
    first, second = invoices
    off = first.write_offs.filter(amount__gt=0, reversed_by=None).first()
    paid = Payment.objects.exclude(kind="reversed").filter(reversed_by=None).order_by("?").first()
    loose = LooseWriteOff.objects.filter(amount__gt=0, reversed_by=None).first()
    acts: dict[str, Callable[[], Any]] = {
        "pay": lambda: money.pay(first, amount),
        "pay2": lambda: money.pay(second, amount, "card"),
        "deposit": lambda: money.deposit(amount),
        "credit": lambda: money.credit(first, amount),
        "refund": lambda: money.refund(amount, "transfer"),
        "off": lambda: money.write_off(first, amount),
        "on": lambda: off and reverse_write_off(by=money.cast.owner, write_off=off, reason="Paid"),
        "use": lambda: use_credit(by=money.cast.desk, invoice=second, amount=Decimal(amount)),
        "owed": lambda: money.owed(amount),
        "cover": lambda: cover_owed(by=money.cast.desk, customer=money.job.customer),
        "end": lambda: ended_or_not(money),
        "theirs": lambda: money.loose("theirs", amount),
        "ours": lambda: money.loose("ours", amount),
        "again": lambda: loose and reverse_loose_write_off(by=money.cast.owner, write_off=loose, reason="Paid"),
        "back": lambda: paid and reverse_payment(by=money.cast.desk, payment=paid, reason="Wrong"),
    }
    try:
        acts[act]()
    except Refused:
        return


def test_any_sequence_of_money_closes_to_the_cent(money):
    """Each invoice is its payments, credits and write-offs less what was set free, and what is open; never below zero.

    What came in and did not go out pays an invoice or is held. The journal balances, and says the same.
    """
    invoices = [money.invoice("100"), money.invoice("123.45", "0.10")]

    @settings(max_examples=25, deadline=None)
    @given(ACTS)
    def closes(acts: list[tuple[str, str]]) -> None:
        with transaction.atomic():
            for act, amount in acts:
                done(money, invoices, act, amount)
            kept, is_open = Decimal(0), Decimal(0)
            for invoice in invoices:
                one = balance_now(invoice)
                credited = invoice.credits.aggregate(sum=Sum("total"))["sum"] or 0
                assert one.total == one.paid - one.freed + credited + one.written_off + one.open
                assert min(one.open, one.kept, one.credited, one.written_off) >= 0
                kept, is_open = kept + one.kept, is_open + one.open
                told = OpenInvoice.objects.filter(pk=invoice.pk).first()
                assert (told.open if told else 0) == one.open
            held = held_for(money.job.customer, "USD")
            owed_back = owed_back_by(money.job.customer, "USD")
            in_hand = Payment.objects.aggregate(sum=Sum("amount"))["sum"] or Decimal(0)
            off = {side: loosely_off(side) for side in ("theirs", "ours")}
            assert min(held, owed_back, *off.values()) >= 0
            assert in_hand == kept + held - owed_back + off["ours"] - off["theirs"]
            today = timezone.localdate()
            days = day_book(today - timedelta(days=2), today + timedelta(days=2))
            assert sum(sum_ for _, sum_ in means_sums(days)) == in_hand
            sums = journal.balance_of(journal_entries(today - timedelta(days=2), today + timedelta(days=2)))
            assert sum(sums.values()) == 0
            assert sums.get(journal.RECEIVABLE, 0) == is_open
            statement = statement_of(money.job.customer, "USD", today)
            assert statement.balance == statement.owed - held + owed_back == is_open - held + owed_back
            apart = in_two(held_payments([money.job.customer], "USD"))
            assert (-sums.get(journal.DEPOSITS, 0), -sums.get(journal.CREDIT, 0)) == (apart.deposits, apart.credit)
            assert sums.get(journal.OWED_BACK, 0) == owed_back
            assert -sums.get(journal.KEPT, 0) == off["ours"]
            assert (
                sums.get(journal.WRITTEN_OFF, 0)
                == sum(balance_now(one).written_off for one in invoices) + off["theirs"]
            )
            assert not Payment.objects.filter(reversed_by__isnull=False, resting__rest__gt=0).exists()
            for day in (today, today + timedelta(days=40)):
                aging = receivables(day, "USD")
                assert (aging.on_invoices, aging.back, aging.held) == (is_open, owed_back, apart)
                assert aging.total == sum(row.total for row in aging.owing)
            between = statement.between
            assert (between.balance, between.owes, between.held) == (statement.balance, aging.total, held)
            kept = dict(PaymentRest.objects.values_list("payment", "rest"))
            used = Payment.objects.filter(kind="received").annotate(used=Sum("uses__amount", default=0))
            assert kept == {one.pk: one.amount - one.used for one in used if one.amount != one.used}
            assert receivables(today, "USD").total == is_open + owed_back
            transaction.set_rollback(True)

    closes()


@given(st.lists(st.integers(0, 500)), st.integers(0, 3000))
def test_what_is_taken_from_purses_is_what_was_wanted(holds: list[int], wanted: int) -> None:
    purses = [(place, Decimal(one) / 100) for place, one in enumerate(holds)]
    amount = Decimal(wanted) / 100
    if wanted > sum(holds):
        with pytest.raises(ValueError, match="is not there"):
            taken_from(amount, purses)
        return
    taken = taken_from(amount, purses)
    assert sum((part for _, part in taken), Decimal(0)) == amount
    assert all(0 < part <= dict(purses)[key] for key, part in taken)
    assert [key for key, _ in taken] == sorted(key for key, _ in taken)


@pytest.mark.parametrize(
    ("sums", "word"),
    [
        ({"total": 100}, ""),
        ({"total": 100, "paid": 100}, "paid"),
        ({"total": 100, "paid": 120, "freed": 20}, "paid"),
        ({"total": 100, "paid": 100, "freed": 100, "credited": 100}, "credited"),
        ({"total": 100, "written_off": 100}, "written off"),
        ({"total": 100, "paid": 60, "credited": 40}, "partly paid and partly credited"),
        ({"total": 100, "paid": 99, "written_off": 1}, "partly paid and partly written off"),
        (
            {"total": 100, "paid": 60, "freed": 10, "credited": 49, "written_off": 1},
            "partly paid and partly credited and partly written off",
        ),
        ({"total": 100, "paid": 60, "credited": 30}, ""),
        ({"total": 0}, "over nothing"),
    ],
)
def test_how_it_came_to_have_nothing_open_is_a_word(sums: dict[str, int], word: str) -> None:
    assert Balance(**{name: Decimal(one) for name, one in sums.items()}).settled == word


@given(st.integers(0, 10_000), st.integers(0, 10_000), st.integers(0, 10_000))
def test_a_credit_sets_free_what_is_no_longer_owed(total: int, paid: int, credit: int) -> None:
    balance = Balance(total=Decimal(total), paid=Decimal(min(paid, total)))
    given_ = Decimal(min(credit, total))
    freed = balance.set_free_by(given_)
    after = Balance(total=balance.total, paid=balance.paid, freed=freed, credited=given_)
    assert after.open >= 0
    assert freed == 0 or after.open == 0
    assert freed <= balance.paid


def test_a_check_that_bounced_after_it_was_paid_back_is_asked_about_and_told_everywhere(money, cast):
    """The desk is told that the customer owes it from now on; no page says that the cash did not leave the till."""
    invoice = money.invoice("100")
    check = money.pay(invoice, "130", "check", reference="1234")
    money.refund("30")
    client = Client()
    client.force_login(cast.desk)
    address = reverse("invoices:payment_reverse", args=[check.pk])
    told = client.post(address, {"reason": "Not honored"})
    assert told.status_code == 422
    words = told.content.decode()
    assert "$30.00 of this payment was paid back to the customer, who owes it to the shop from now on." in words
    ticks = [one.get("value") for one in lxml.html.fromstring(words).xpath("//input[@name='asked']")]
    assert client.post(address, {"reason": "Not honored", "asked": ticks}).status_code == 302
    page = client.get(reverse("invoices:customer", args=[invoice.customer_id])).content.decode()
    both = "The shop is owed $130.00 by Wes Harrow: $100.00 on invoices and $30.00 for money that was paid out to them."
    assert both in page
    assert both in client.get(reverse("vessels:customer", args=[invoice.customer_id])).content.decode()
    aging = lxml.html.fromstring(client.get(reverse("invoices:aging")).content)
    cells = {one.get("data-label"): one.text_content().strip() for one in aging.xpath("//tbody/tr[1]/td")}
    assert cells == {
        "Not overdue": "$100.00", "1–30 days": "", "31–60 days": "", "61–90 days": "", "Over 90 days": "",
        "On no invoice": "$30.00", "Owes": "$130.00",
    }  # fmt: skip
    again = client.get(address, follow=True)
    assert "This was already reversed." in again.content.decode()


def test_journal_entries_bear_the_same_key_in_every_export(money):
    """What was exported yesterday keeps its key when an invoice comes before it today."""
    invoice = money.invoice("100")
    money.pay(invoice, "40", "check", reference="1234")
    day = timezone.localdate()
    first = {entry.key: (entry.text, entry.document) for entry in journal_entries(day, day + timedelta(days=1))}
    money.invoice("7")
    money.pay(invoice, "10")
    later = {entry.key: (entry.text, entry.document) for entry in journal_entries(day, day + timedelta(days=1))}
    assert len(later) == len(first) + 3
    assert {key: later[key] for key in first} == first


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ({"first": "2100-01-01", "last": "1900-01-01"}, "Jan 1, 2100 is after Jan 1, 1900."),
        ({"first": "abc"}, "“abc” cannot be read as a day: enter one such as 2026-05-01."),
        (
            {"last": "2026-02-30"},
            "“2026-02-30” cannot be read as a day: enter one such as 2026-05-01.",
        ),
        (
            {"first": "9999-01-01"},
            "“9999-01-01” is too far ahead: enter a day no later than 2999-12-31.",
        ),
        (
            {"first": "1899-12-31"},
            "“1899-12-31” is too long ago: enter a day no earlier than 1900-01-01.",
        ),
        (
            {"last": "3000-01-01"},
            "“3000-01-01” is too far ahead: enter a day no later than 2999-12-31.",
        ),
        ({"first": "2999-12-31", "last": "2999-12-31"}, ""),
        (
            {"first": "0000-00-00"},
            "“0000-00-00” cannot be read as a day: enter one such as 2026-05-01.",
        ),
        ({"first": "2020-01-01", "last": "2024-01-01"}, "Jan 1, 2020 to Jan 1, 2024 is longer than 370 days."),
        ({"first": "2026-01-01", "last": "2026-01-31"}, ""),
        ({"last": "2020-01-31"}, ""),
        ({}, ""),
    ],
)
def test_days_that_cannot_be_are_told_and_no_file_is_made_of_others(cast, asked: dict[str, str], said: str) -> None:
    client = Client()
    client.force_login(cast.desk)
    page = client.get(reverse("invoices:day_book"), asked).content.decode()
    table = client.get(reverse("invoices:journal_csv"), asked)
    assert ("These days are shown instead" in page, table.status_code) == ((True, 302) if said else (False, 200))
    assert said in page


def test_what_would_be_refused_is_said_when_its_page_opens(money, cast, job):
    client = Client()
    client.force_login(cast.desk)
    move_job(by=cast.desk, job=job, to="canceled", reason="Sold", seen_version=job.version)
    for name in ("workorders:charge_add", "invoices:make", "invoices:deposit"):
        answer = client.get(reverse(name, args=[job.number]), follow=True)
        assert answer.redirect_chain, name
        assert "is canceled. Open it again" in answer.content.decode(), name
