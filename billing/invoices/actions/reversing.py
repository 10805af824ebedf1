"""What did not come in after all is reversed by a row of its own; what it leaves a customer owing is received."""

from __future__ import annotations

import uuid
from collections.abc import Iterable
from datetime import date
from decimal import Decimal

from django.db.models import Q, Sum

from billing.invoices.actions.checking import day_of_money, said_why
from billing.invoices.balance import taken_from
from billing.invoices.models import NOTHING, Payment, Use
from billing.invoices.noted import received, too_much, use
from billing.invoices.queries.balances import gaps_of, held_payments
from commands.envelope import command, tell
from commands.questions import ask_once
from commands.refusals import Refused
from staff.models import Person
from staff.policy import Permission
from staff.queries import shop_profile
from vessels.models import Customer
from vessels.wording import date_words
from workorders.money import money_words


@command("reverse_payment", needs=Permission.TAKE_MONEY, writes_to="payment.customer")
def reverse_payment(*, by: Person, payment: Payment, reason: str, entry_id: uuid.UUID | None = None) -> Payment:
    """Reverse what was noted wrongly, or a check that was not honored: another row takes it back, and both stay.

    What of it was paid back to the customer meanwhile, the customer owes from then on.

    Raises:
        Refused: it was reversed already, or nobody says why.
    """
    why = said_why(reason, "Say what was wrong with it.")
    refuse_reversed(payment)
    _refuse_written_off(payment)
    reversal = Payment(
        kind="reversed",
        customer=payment.customer,
        job=payment.job,
        invoice=payment.invoice,
        amount=-payment.amount,
        currency=payment.currency,
        means=payment.means,
        reference=payment.reference,
        day=day_of_money(None),
        remark=why,
        reverses=payment,
        by=by,
    )
    if payment.kind == "refunded":
        reversal.save()
        for source in payment.sources.all():
            use(by, source.payment, -source.amount, out=reversal, day=reversal.day)
    else:
        _ask_about_paid_back(payment)
        reversal.save()
        _take_out_of_invoices(by, payment, reversal.day)
        use(by, payment, payment.amount, out=reversal, day=reversal.day)
    tell(reversed=[str(payment.amount), None])
    return reversal


def refuse_reversed(payment: Payment) -> None:
    """A payment is reversed once.

    Raises:
        Refused: it was, or it is a reversal itself.
    """
    if payment.kind == "reversed":
        raise Refused("This is a reversal itself. Note the payment again instead.")
    if Payment.objects.filter(reverses=payment).exists():
        raise Refused("This was already reversed.")


def _refuse_written_off(payment: Payment) -> None:
    """What was written off of a payment rests on it: that is reversed first.

    Raises:
        Refused: something of it, or of what a payment back came from, is written off on no invoice.
    """
    sources = [payment.pk, *payment.sources.values_list("payment", flat=True)]
    standing = Use.objects.filter(payment__in=sources, off__isnull=False, off__reverses=None, off__reversed_by=None)
    found = standing.select_related("off").first()
    if found is not None and found.off is not None:
        words = money_words(found.off.amount, payment.currency)
        raise Refused(
            f"{words} that comes from this was written off on {date_words(found.off.day)}. Reverse that first."
        )


def _ask_about_paid_back(payment: Payment) -> None:
    """Ask once whether money was really paid back out of a payment that did not come in."""
    out = Q(out__kind="refunded") | Q(out__reverses__kind="refunded")
    back = payment.uses.filter(out).aggregate(sum=Sum("amount"))["sum"] or NOTHING
    if back > 0:
        words = money_words(back, payment.currency)
        said = f"{words} of this payment was paid back to the customer, who owes it to the shop from now on."
        ask_once(f"paid back {back} of {payment.pk}", said, field="reason", tick=f"{words} did go out, and is owed")


def _take_out_of_invoices(by: Person, payment: Payment, day: date) -> None:
    """What a payment paid becomes open again."""
    rows = payment.uses.exclude(invoice=None).order_by().values("invoice").annotate(sum=Sum("amount"))
    for row in rows:
        if row["sum"]:
            Use.objects.create(payment=payment, invoice_id=row["invoice"], amount=-row["sum"], day=day, by=by)


@command("receive_owed", needs=Permission.TAKE_MONEY, writes_to="customer")
def receive_owed(
    *,
    by: Person,
    customer: Customer,
    amount: Decimal,
    means: str,
    reference: str = "",
    day: date | None = None,
    remark: str = "",
    entry_id: uuid.UUID | None = None,
) -> Payment:
    """Note that a customer paid what was paid back to them out of a payment that was not honored.

    Raises:
        Refused: it is no sum of money, more than is owed, or its day is in the future.
    """
    currency = shop_profile().currency
    payment = received(
        by=by,
        customer=customer,
        amount=amount,
        means=means,
        reference=reference,
        day=day,
        remark=remark,
        currency=currency,
    )
    gaps = gaps_of(currency, [customer])
    owed = sum((gap.lacks for gap in gaps), NOTHING)
    if payment.amount > owed:
        raise too_much(f"Only {money_words(owed, currency)} is owed by {customer} for payments that were not honored.")
    payment.save()
    _cover(by, taken_from(payment.amount, ((gap.payment, gap.lacks) for gap in gaps)), [(payment, payment.amount)])
    tell(received=[None, str(payment.amount)], owed_back=[str(owed), str(owed - payment.amount)])
    return payment


@command("cover_owed", needs=Permission.TAKE_MONEY, writes_to="customer")
def cover_owed(*, by: Person, customer: Customer, entry_id: uuid.UUID | None = None) -> Customer:
    """Take what a customer owes for a payment that was not honored out of what is held for them, as far as it goes.

    Deposits of jobs that go on are left alone.

    Raises:
        Refused: nothing is owed, or nothing is held.
    """
    currency = shop_profile().currency
    gaps = gaps_of(currency, [customer])
    purses = [purse for purse in held_payments([customer], currency) if not purse.is_deposit]
    owed, held = sum((gap.lacks for gap in gaps), NOTHING), sum((purse.rest for purse in purses), NOTHING)
    most = min(owed, held)
    if most <= 0:
        raise Refused(f"Nothing is held for {customer} that could cover what is owed." if owed else "Nothing is owed.")
    lacking = taken_from(most, ((gap.payment, gap.lacks) for gap in gaps))
    _cover(by, lacking, taken_from(most, ((purse.payment, purse.rest) for purse in purses)))
    tell(owed_back=[str(owed), str(owed - most)], held=[str(held), str(held - most)])
    return customer


def _cover(by: Person, lacking: Iterable[tuple[Payment, Decimal]], purses: Iterable[tuple[Payment, Decimal]]) -> None:
    """Have money stand where a reversed payment has less than nothing, sum for sum."""
    left = dict(purses)
    today = day_of_money(None)
    for payment, lacks in lacking:
        reversal = payment.reversed_by
        Use.objects.create(payment=payment, amount=-lacks, out=reversal, day=today, by=by)
        for source, part in taken_from(lacks, list(left.items())):
            Use.objects.create(payment=source, amount=part, out=reversal, day=today, by=by)
            left[source] -= part
