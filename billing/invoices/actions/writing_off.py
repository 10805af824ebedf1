"""What will not be paid is written off by a manager or the owner, with why; and that is reversed when it is paid."""

from __future__ import annotations

import uuid
from decimal import Decimal

from billing.invoices.actions.checking import day_of_money, said_why, sum_of_money
from billing.invoices.models import Invoice, WriteOff
from billing.invoices.queries.balances import balance_now
from commands.envelope import command, tell
from commands.refusals import Refused
from staff.models import Person
from staff.policy import Permission
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
    if write_off.amount < 0:
        raise Refused("This is a reversal itself. Note the write-off again instead.")
    if WriteOff.objects.filter(reverses=write_off).exists():
        raise Refused("This was already reversed.")
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
