"""What is open on invoices and what the shop holds for customers, worked out from the rows."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, cast

from django.db.models import DecimalField, ExpressionWrapper, F, Model, OuterRef, Q, QuerySet, Subquery, Sum, Value
from django.db.models.functions import Coalesce

from billing.invoices.balance import Balance
from billing.invoices.models import NOTHING, CreditNote, Invoice, OpenInvoice, Payment, PaymentRest, Use, WriteOff
from vessels.models import Customer
from workorders.models import Job
from workorders.queries.jobs import OPEN_STATES

MONEY: DecimalField[Decimal, Decimal] = DecimalField(max_digits=14, decimal_places=2)


def summed(rows: QuerySet[Any], by: str, what: str = "amount", *, of: OuterRef | None = None) -> Coalesce:
    """The sum of rows that belong to a row of the outer query, nothing where there are none."""
    sums = rows.filter(**{by: of or OuterRef("pk")}).order_by().values(by).annotate(sum=Sum(what)).values("sum")
    return Coalesce(Subquery(sums, output_field=MONEY), Value(NOTHING, MONEY))


def with_balance(invoices: QuerySet[Invoice]) -> QuerySet[Invoice]:
    """Invoices with the sums that ``balance_of`` needs, and ``open_sum``, in one query."""
    found = invoices.annotate(
        paid_sum=summed(Use.objects.filter(amount__gt=0), "invoice"),
        freed_sum=summed(Use.objects.filter(amount__lt=0), "invoice"),
        credited_sum=summed(CreditNote.objects.all(), "invoice", "total"),
        written_off_sum=summed(WriteOff.objects.all(), "invoice"),
    )
    left = F("total") - F("paid_sum") - F("freed_sum") - F("credited_sum") - F("written_off_sum")
    return found.annotate(open_sum=ExpressionWrapper(left, MONEY))


def balance_of(invoice: Invoice) -> Balance:
    """What became of an invoice; asks for the sums where ``with_balance`` did not give them."""
    row = cast("Any", invoice if hasattr(invoice, "paid_sum") else with_balance(_only(invoice)).get())
    return Balance(
        total=row.total,
        paid=row.paid_sum,
        freed=-row.freed_sum,
        credited=row.credited_sum,
        written_off=row.written_off_sum,
    )


def balance_now(invoice: Invoice) -> Balance:
    """The same from the rows as they are now, whatever the caller's record was read with."""
    return balance_of(with_balance(_only(invoice)).get())


def _only(invoice: Model) -> QuerySet[Invoice]:
    return Invoice.objects.filter(pk=invoice.pk)


@dataclass(frozen=True)
class HeldPayment:
    """Money that was received, and what of it has no use yet."""

    payment: Payment
    rest: Decimal

    @property
    def lacks(self) -> Decimal:
        """What of it was paid back and had not come in: its check was not honored."""
        return -self.rest

    @property
    def is_deposit(self) -> bool:
        """Whether it is held for a job that is not over."""
        return self.payment.job is not None and self.payment.job.is_open


def held_payments(customers: Iterable[Customer], currency: str) -> list[HeldPayment]:
    """What the shop holds for customers, oldest first."""
    paid = Payment.objects.filter(customer__in=list(customers), kind="received", currency=currency)
    used = paid.annotate(used=summed(Use.objects.all(), "payment"))
    rows: Any = used.filter(amount__gt=F("used")).select_related("job").order_by("day", "pk")
    return [HeldPayment(row, row.amount - row.used) for row in rows]


def gaps_of(currency: str, customers: Iterable[Customer] | None = None) -> list[HeldPayment]:
    """Money that was paid back out of payments that were reversed since, so that customers owe it; oldest first."""
    # The reversing side is asked for its key, so that the few reversals are read and not every payment.
    gone = Payment.objects.filter(kind="received", currency=currency, reversed_by__reverses__isnull=False)
    if customers is not None:
        gone = gone.filter(customer__in=list(customers))
    used = gone.annotate(used=summed(Use.objects.all(), "payment")).filter(amount__lt=F("used"))
    rows: Any = used.select_related("customer", "job", "reversed_by").order_by("reversed_by__day", "pk")
    return [HeldPayment(row, row.amount - row.used) for row in rows]


def owed_back_by(customer: Customer, currency: str) -> Decimal:
    """What a customer owes besides invoices: it was paid back to them out of a payment that was not honored."""
    return sum((gap.lacks for gap in gaps_of(currency, [customer])), NOTHING)


@dataclass(frozen=True)
class Held:
    """What the shop has of a customer's: deposits of jobs that go on, and what it owes them."""

    deposits: Decimal = NOTHING
    credit: Decimal = NOTHING

    @property
    def total(self) -> Decimal:
        """Both."""
        return self.deposits + self.credit


def in_two(purses: Iterable[HeldPayment]) -> Held:
    """What is held, apart: deposits, and what is owed to the customer."""
    found = list(purses)
    deposits = sum((purse.rest for purse in found if purse.is_deposit), NOTHING)
    return Held(deposits, sum((purse.rest for purse in found), NOTHING) - deposits)


def held_of_everybody(currency: str) -> dict[int, Held]:
    """The same for each customer by key, from what the database keeps of it: at any age of a shop, in one query."""
    kept = PaymentRest.objects.filter(rest__gt=0, payment__currency=currency).order_by().values("payment__customer")
    goes_on = Q(payment__job__state__in=OPEN_STATES)
    nothing = Value(NOTHING, MONEY)
    sums = kept.annotate(all=Sum("rest"), deposits=Coalesce(Sum("rest", filter=goes_on), nothing))
    return {row["payment__customer"]: Held(row["deposits"], row["all"] - row["deposits"]) for row in sums}


def other_currencies(currency: str, customer: Customer | None = None) -> tuple[str, ...]:
    """Currencies in which something is open or held besides the shop's, from before it was changed: one query."""
    is_open = OpenInvoice.objects.exclude(invoice__currency=currency)
    rests = PaymentRest.objects.exclude(payment__currency=currency)
    if customer is not None:
        is_open, rests = is_open.filter(invoice__customer=customer), rests.filter(payment__customer=customer)
    found = is_open.order_by().values_list("invoice__currency").union(rests.order_by().values_list("payment__currency"))
    return tuple(sorted(code for (code,) in found))


def held_for(customer: Customer, currency: str) -> Decimal:
    """What the shop holds for a customer: deposits, overpayments, and what credit notes set free."""
    return sum((purse.rest for purse in held_payments([customer], currency)), NOTHING)


def deposits_of(job: Job, currency: str) -> list[HeldPayment]:
    """What of the deposits for a job has no use yet, oldest first."""
    return [purse for purse in held_payments([job.customer], currency) if purse.payment.job_id == job.pk]


def usable_on(invoice: Invoice) -> list[HeldPayment]:
    """What may pay an invoice: deposits for its job, then what is held for no job, or for one that is over."""
    purses = held_payments([invoice.customer], invoice.currency)
    own = [purse for purse in purses if purse.payment.job_id == invoice.job_id]
    return own + [purse for purse in purses if purse not in own and not purse.is_deposit]


def open_invoices(invoices: QuerySet[Invoice] | None = None) -> QuerySet[Invoice]:
    """Invoices on which something is open."""
    return with_balance(Invoice.objects.all() if invoices is None else invoices).filter(standing__isnull=False)
