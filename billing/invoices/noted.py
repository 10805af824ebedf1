"""The rows that every act about money writes, sound before they are saved."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

from billing.invoices.actions.checking import day_of_money, known_means, short_enough, sum_of_money
from billing.invoices.models import Invoice, Payment, Use
from commands.questions import ask_once
from commands.refusals import Refused
from staff.models import Person
from vessels.models import Customer
from workorders.models import Job
from workorders.money import money_words


def received(
    *,
    by: Person,
    customer: Customer,
    amount: Decimal,
    means: str,
    reference: str,
    day: date | None,
    remark: str,
    currency: str,
    job: Job | None = None,
    invoice: Invoice | None = None,
) -> Payment:
    """A payment that is sound, not saved yet."""
    payment = Payment(
        kind="received",
        customer=customer,
        job=job,
        invoice=invoice,
        amount=sum_of_money(amount, currency),
        currency=currency,
        means=known_means(means),
        reference=short_enough(reference, "reference", 80),
        day=day_of_money(day),
        remark=short_enough(remark, "remark", 500),
        by=by,
    )
    _ask_about_twin(payment)
    return payment


def _ask_about_twin(payment: Payment) -> None:
    """Ask once whether the same sum of the same day was noted already, by somebody else or on another page."""
    same = {
        name: getattr(payment, name) for name in ("customer", "day", "means", "amount", "reference", "job", "invoice")
    }
    if Payment.objects.filter(**same, kind="received", reversed_by=None).exists():
        words = money_words(payment.amount, payment.currency)
        said = f"The same payment is noted already: {words}, {payment.get_means_display().lower()}, on the same day."
        ask_once(f"twin of {payment.amount} on {payment.day}", said, field="means", tick=f"{words} came in once more")


def use(
    by: Person,
    payment: Payment,
    amount: Decimal,
    *,
    invoice: Invoice | None = None,
    out: Payment | None = None,
    day: date | None = None,
) -> Use:
    """Note what became of money. Money is used on the day it came in, or on that of the invoice where that is later."""
    on = day or max(payment.day, invoice.issued_on if invoice else payment.day)
    return Use.objects.create(payment=payment, amount=amount, invoice=invoice, out=out, day=on, by=by)


def too_much(sentence: str) -> Refused:
    """A refusal that stands beside the sum."""
    return Refused(sentence, fields={"amount": sentence})
