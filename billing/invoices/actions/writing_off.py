"""What will not be paid is written off by a manager or the owner, with why; and that is reversed when it is paid.

What is between the shop and a customer on no invoice is written off as well, each side by itself: what the customer
owes, and what is owed to them. Nothing is written off by itself, however small.
"""

from __future__ import annotations

import uuid
from decimal import Decimal

from billing.invoices.actions.checking import day_of_money, said_why, sum_of_money
from billing.invoices.balance import taken_from
from billing.invoices.models import NOTHING, Invoice, LooseWriteOff, Payment, Use, WriteOff
from billing.invoices.noted import too_much
from billing.invoices.queries.balances import (
    HeldPayment,
    balance_now,
    gaps_of,
    held_payments,
    open_invoices,
    owed_back_by,
)
from commands.envelope import command, tell
from commands.refusals import Refused
from staff.models import Person
from staff.policy import Permission
from staff.queries import shop_profile
from vessels.models import Customer
from workorders.money import money_words


@command("write_off", needs=Permission.WRITE_OFF, writes_to="invoice.customer")
def write_off(
    *, by: Person, invoice: Invoice, amount: Decimal, reason: str, entry_id: uuid.UUID | None = None
) -> WriteOff:
    """Write off what is open on an invoice, or some of it.

    Raises:
        Refused: it is no sum of money, more than is open, or nobody says why.
    """
    wanted = sum_of_money(amount, invoice.currency)
    why = said_why(reason, "Say why it is written off.")
    due = balance_now(invoice).open
    if wanted > due:
        sentence = f"Only {money_words(due, invoice.currency)} is open on invoice {invoice}."
        raise Refused(sentence, fields={"amount": sentence})
    tell(written_off=[None, str(wanted)], open=[str(due), str(due - wanted)])
    return WriteOff.objects.create(invoice=invoice, amount=wanted, reason=why, day=day_of_money(None), by=by)


@command("reverse_write_off", needs=Permission.WRITE_OFF, writes_to="write_off.invoice.customer")
def reverse_write_off(*, by: Person, write_off: WriteOff, reason: str, entry_id: uuid.UUID | None = None) -> WriteOff:
    """Expect it to be paid after all: the sum is open again.

    Raises:
        Refused: it was reversed already, it is a reversal itself, or nobody says why.
    """
    why = said_why(reason, "Say why it is expected again.")
    refuse_reversed_write_off(write_off)
    due = balance_now(write_off.invoice).open
    tell(written_off=[str(write_off.amount), None], open=[str(due), str(due + write_off.amount)])
    return WriteOff.objects.create(
        invoice=write_off.invoice,
        amount=-write_off.amount,
        reason=why,
        reverses=write_off,
        day=day_of_money(None),
        by=by,
    )


def refuse_reversed_write_off(row: WriteOff | LooseWriteOff) -> None:
    """A write-off is reversed once.

    Raises:
        Refused: it was, or it is a reversal itself.
    """
    if row.amount < 0:
        raise Refused("This is a reversal itself. Note the write-off again instead.")
    if type(row)._default_manager.filter(reverses=row.pk).exists():
        raise Refused("This was already reversed.")


@command("write_off_loose", needs=Permission.WRITE_OFF, writes_to="customer")
def write_off_loose(
    *, by: Person, customer: Customer, side: str, amount: Decimal, reason: str, entry_id: uuid.UUID | None = None
) -> LooseWriteOff:
    """Write off what a customer owes on no invoice, or what the shop owes them, or some of it.

    Raises:
        Refused: it is no sum of money, more than there is, something of the customer's stands against it, or nobody
            says why.
    """
    currency = shop_profile().currency
    wanted = sum_of_money(amount, currency)
    why = said_why(reason, "Say why it is written off.")
    if side not in dict(LooseWriteOff.SIDES):
        raise Refused("Choose what is written off: what the customer owes, or what is owed to them.")
    is_theirs = side == LooseWriteOff.THEIRS
    purses = gaps_of(currency, [customer]) if is_theirs else _credit_of(customer, currency)
    most = sum((abs(purse.rest) for purse in purses), NOTHING)
    if wanted > most:
        words = money_words(most, currency)
        raise too_much(
            f"{words} is owed by {customer} on no invoice." if is_theirs else f"{words} is owed to {customer}."
        )
    if not is_theirs:
        _refuse_what_stands_against(customer, currency)
    made = LooseWriteOff.objects.create(
        customer=customer, side=side, amount=wanted, currency=currency, reason=why, day=day_of_money(None), by=by
    )
    for payment, part in taken_from(wanted, ((purse.payment, abs(purse.rest)) for purse in purses)):
        _settle(made, payment, -part if is_theirs else part)
    tell(written_off=[None, str(wanted)], left=[str(most), str(most - wanted)])
    return made


def _credit_of(customer: Customer, currency: str) -> list[HeldPayment]:
    """What is owed to a customer: deposits of jobs that go on are no money to keep."""
    return [purse for purse in held_payments([customer], currency) if not purse.is_deposit]


def _refuse_what_stands_against(customer: Customer, currency: str) -> None:
    """Money that is owed to somebody who owes money pays that first.

    Raises:
        Refused: the customer owes something.
    """
    if owed_back_by(customer, currency):
        raise Refused(f"Money is owed by {customer} on no invoice. Take it out of what is owed to them first.")
    owing = open_invoices(Invoice.objects.filter(customer=customer, currency=currency)).order_by("pk").first()
    if owing is not None:
        raise Refused(f"Invoice {owing} of {customer} is open. Use what is owed to them for it first.")


def _settle(row: LooseWriteOff, payment: Payment, amount: Decimal) -> None:
    Use.objects.create(payment=payment, amount=amount, off=row, day=row.day, by=row.by)


@command("reverse_loose_write_off", needs=Permission.WRITE_OFF, writes_to="write_off.customer")
def reverse_loose_write_off(
    *, by: Person, write_off: LooseWriteOff, reason: str, entry_id: uuid.UUID | None = None
) -> LooseWriteOff:
    """Owe, or expect, it after all: the sum stands again where it stood.

    Raises:
        Refused: it was reversed already, it is a reversal itself, or nobody says why.
    """
    why = said_why(reason, "Say why it is owed again.")
    refuse_reversed_write_off(write_off)
    made = LooseWriteOff.objects.create(
        customer=write_off.customer,
        side=write_off.side,
        amount=-write_off.amount,
        currency=write_off.currency,
        reason=why,
        reverses=write_off,
        day=day_of_money(None),
        by=by,
    )
    for use in write_off.uses.select_related("payment").order_by("pk"):
        _settle(made, use.payment, -use.amount)
    tell(written_off=[str(write_off.amount), None])
    return made
