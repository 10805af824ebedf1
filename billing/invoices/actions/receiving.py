"""Money comes in, is used, goes back; and what was noted wrongly is reversed by a row of its own.

Cash, card, transfer and check are noted here and processed elsewhere.
"""

from __future__ import annotations

import uuid
from datetime import date
from decimal import Decimal

from billing.invoices.actions.checking import (
    day_of_money,
    known_means,
    refuse_other_currency,
    said_why,
    short_enough,
    sum_of_money,
)
from billing.invoices.balance import taken_from
from billing.invoices.models import NOTHING, Invoice, Payment, Use
from billing.invoices.noted import received, too_much, use
from billing.invoices.queries.balances import balance_now, held_for, held_payments, owed_back_by, usable_on
from commands.envelope import command, tell
from commands.questions import ask_once
from staff.models import Person
from staff.policy import Permission
from staff.queries import shop_profile
from vessels.models import Customer
from workorders.actions.checking import refuse_ended
from workorders.models import Job
from workorders.money import money_words


@command("receive_payment", needs=Permission.TAKE_MONEY, writes_to="invoice.customer")
def receive_payment(
    *,
    by: Person,
    invoice: Invoice,
    amount: Decimal,
    means: str,
    reference: str = "",
    day: date | None = None,
    remark: str = "",
    entry_id: uuid.UUID | None = None,
) -> Payment:
    """Note money that was received for an invoice. What is more than is open is held for the customer, once asked.

    Raises:
        Refused: it is no sum of money, its day is in the future, or the invoice is in another currency.
    """
    refuse_other_currency(invoice.currency)
    due = balance_now(invoice).open
    payment = received(
        by=by,
        customer=invoice.customer,
        amount=amount,
        means=means,
        reference=reference,
        day=day,
        remark=remark,
        currency=invoice.currency,
        invoice=invoice if due > 0 else None,  # where nothing is open, it is no payment of this invoice
    )
    _ask_about_too_much(invoice, payment.amount, due)
    payment.save()
    used = min(payment.amount, due)
    if used > 0:
        use(by, payment, used, invoice=invoice)
    tell(received=[None, str(payment.amount)], open=[str(due), str(due - used)])
    return payment


@command("receive_deposit", needs=Permission.TAKE_MONEY, writes_to="job.customer")
def receive_deposit(
    *,
    by: Person,
    job: Job,
    amount: Decimal,
    means: str,
    reference: str = "",
    day: date | None = None,
    remark: str = "",
    entry_id: uuid.UUID | None = None,
) -> Payment:
    """Note money that was received for a job before its invoice. It is held for the job until that is made.

    Raises:
        Refused: it is no sum of money, its day is in the future, or the job has ended.
    """
    job.refresh_from_db()
    refuse_ended(job)
    currency = shop_profile().currency
    payment = received(
        by=by,
        customer=job.customer,
        amount=amount,
        means=means,
        reference=reference,
        day=day,
        remark=remark,
        currency=currency,
        job=job,
    )
    held = held_for(job.customer, currency)
    payment.save()
    tell(received=[None, str(payment.amount)], held=[str(held), str(held + payment.amount)])
    return payment


@command("use_credit", needs=Permission.TAKE_MONEY, writes_to="invoice.customer")
def use_credit(*, by: Person, invoice: Invoice, amount: Decimal, entry_id: uuid.UUID | None = None) -> Invoice:
    """Pay an invoice from what the shop holds for its customer. A deposit for another job that goes on is left alone.

    Raises:
        Refused: it is no sum of money, or more than is open or held.
    """
    refuse_other_currency(invoice.currency)
    wanted = sum_of_money(amount, invoice.currency)
    due, purses = balance_now(invoice).open, usable_on(invoice)
    if wanted > due:
        raise too_much(f"Only {money_words(due, invoice.currency)} is open on invoice {invoice}.")
    held = sum((purse.rest for purse in purses), NOTHING)
    if wanted > held:
        raise too_much(f"Only {money_words(held, invoice.currency)} is held for {invoice.customer} and may be used.")
    for payment, part in taken_from(wanted, ((purse.payment, purse.rest) for purse in purses)):
        use(by, payment, part, invoice=invoice, day=day_of_money(None))
    tell(open=[str(due), str(due - wanted)], held=[str(held), str(held - wanted)])
    return invoice


@command("refund_credit", needs=Permission.CREDIT_INVOICES, writes_to="customer")
def refund_credit(
    *,
    by: Person,
    customer: Customer,
    amount: Decimal,
    means: str,
    reason: str,
    reference: str = "",
    day: date | None = None,
    entry_id: uuid.UUID | None = None,
) -> Payment:
    """Note money that was paid back out of what the shop holds for a customer; deposits of jobs that go on come last.

    Raises:
        Refused: it is no sum of money, more than is held beyond what the customer owes for a payment that was not
            honored, or nobody says why.
    """
    currency = shop_profile().currency
    wanted = sum_of_money(amount, currency)
    why = said_why(reason, "Say why the money is paid back.")
    purses = sorted(held_payments([customer], currency), key=lambda purse: purse.is_deposit)
    held = sum((purse.rest for purse in purses), NOTHING)
    owed = owed_back_by(customer, currency)
    if wanted > held:
        raise too_much(f"Only {money_words(held, currency)} is held for {customer}.")
    if wanted > held - owed:
        raise too_much(
            f"{money_words(owed, currency)} is owed by {customer}: it was paid back out of a payment that was not "
            f"honored. Only {money_words(max(held - owed, NOTHING), currency)} may be paid back."
        )
    refund = Payment.objects.create(
        kind="refunded",
        customer=customer,
        amount=-wanted,
        currency=currency,
        means=known_means(means),
        reference=short_enough(reference, "reference", 80),
        day=day_of_money(day),
        remark=why,
        by=by,
    )
    for payment, part in taken_from(wanted, ((purse.payment, purse.rest) for purse in purses)):
        Use.objects.create(payment=payment, amount=part, out=refund, day=refund.day, by=by)
    tell(refunded=[None, str(wanted)], held=[str(held), str(held - wanted)])
    return refund


def _ask_about_too_much(invoice: Invoice, amount: Decimal, due: Decimal) -> None:
    """Ask once before money is held that nobody asked for."""
    if amount <= due:
        return
    over = money_words(amount - due, invoice.currency)
    is_open = f"Only {money_words(due, invoice.currency)} is" if due else "Nothing is"
    said = f"{is_open} open on invoice {invoice}. {over} would be held as credit of {invoice.customer}."
    ask_once(f"credit of {amount - due} from {invoice}", said, field="amount", tick=f"Hold {over} as credit")
