"""What invoices have to say to a job: what was invoiced stays, and a job is closed over money with a word."""

from __future__ import annotations

from billing.invoices.models import CreditedCharge, InvoicedCharge
from billing.invoices.pricing import priced
from billing.invoices.queries.jobs import job_money
from billing.invoices.queries.left import keep_left
from commands.questions import ask_once
from commands.refusals import Refused
from staff.models import Person
from staff.policy import Permission, may
from staff.queries import shop_profile
from workorders.models import Charge, Job
from workorders.money import money_words
from workorders.states import JobState

FIELD = "to"
ENDS = frozenset({JobState.CLOSED, JobState.CANCELED})


def refuse_invoiced(by: Person, charge: Charge) -> None:
    """A charge that was invoiced is credited before it is voided, so that the customer has it on paper.

    Raises:
        Refused: it stands on an invoice, and was not credited whole.
    """
    invoiced = InvoicedCharge.objects.filter(charge=charge).select_related("invoice").first()
    if invoiced is not None and not CreditedCharge.objects.filter(charge=charge).exists():
        raise Refused(f"“{charge}” stands on invoice {invoiced.invoice}. Credit it there first; then it can be voided.")


def keep_what_is_left(by: Person, job: Job, end: JobState) -> None:
    """Keep that a job is closed with something on no invoice, after everything was asked."""
    keep_left(job, end)


def ask_about_money(by: Person, job: Job, end: JobState) -> None:
    """Ask once before a job ends with charges that are not invoiced, with something open, or with a deposit left.

    Whoever sees no prices is asked without the sums.

    Raises:
        Questions: somebody is there to be asked, and has not answered.
    """
    if end not in ENDS:
        return
    currency, sees_sums = shop_profile().currency, may(by, Permission.SEE_PRICES)
    money = job_money(job, currency)
    if money.left:
        worth = money_words(priced(job, money.left, currency=currency).sums.total, currency)
        count = "1 charge is" if len(money.left) == 1 else f"{len(money.left)} charges are"
        if sees_sums:
            said, tick = f"{count} not invoiced yet: {worth} with tax.", f"{worth} is not invoiced"
        else:
            said, tick = f"{count} not invoiced yet.", f"{count} not invoiced"
        ask_once(f"not invoiced {worth}" if sees_sums else f"not invoiced {count}", said, field=FIELD, tick=tick)
    for invoice in money.invoices:
        is_open = invoice.open_sum  # type: ignore[attr-defined]
        if is_open:
            words = money_words(is_open, invoice.currency) if sees_sums else "A sum"
            said = f"{words} is open on invoice {invoice}."
            ask_once(f"open {words} on {invoice}", said, field=f"{FIELD}-{invoice}", tick=f"{words} is still open")
    if money.held:
        words = money_words(money.held, currency) if sees_sums else "A sum"
        said = f"{words} was deposited for this job and is not used."
        ask_once(f"deposit {words}", said, field=f"{FIELD}-deposit", tick=f"{words} stays held for {job.customer}")
