"""A job with labor, parts and a fee on it, and money in short words."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING, Any

import pytest

if TYPE_CHECKING:
    from billing.invoices.models import Invoice
    from tests.cast import Cast
    from workorders.models import Charge, Job


class Money:
    """What the office does, by its people."""

    def __init__(self, cast: Cast, job: Job) -> None:
        self.cast, self.job = cast, job

    def charge(self, price: str, kind: str = "fee", *, quantity: str = "1", taxable: bool | None = None) -> Charge:
        from workorders.actions import add_charge

        return add_charge(
            by=self.cast.desk, job=self.job, kind=kind, description=f"{kind} {price}", quantity=Decimal(quantity),
            unit_price=Decimal(price), taxable=taxable, line=self.job.lines.get() if kind != "fee" else None,
        )  # fmt: skip

    def worth(self, charges: list[Charge] | None = None) -> Decimal:
        from billing.invoices.pricing import priced
        from billing.invoices.queries.jobs import charges_to_invoice

        self.job.refresh_from_db()
        chosen = charges_to_invoice(self.job) if charges is None else charges
        return priced(self.job, chosen, currency="USD").sums.total

    def invoice(self, *prices: str, charges: list[Charge] | None = None) -> Invoice:
        from billing.invoices.actions import make_invoice

        for price in prices:
            self.charge(price)
        return make_invoice(by=self.cast.desk, job=self.job, seen_total=self.worth(charges), charges=charges)

    def pay(self, invoice: Invoice, amount: str, means: str = "cash", **more: Any) -> Any:
        from billing.invoices.actions import receive_payment

        return receive_payment(by=self.cast.desk, invoice=invoice, amount=Decimal(amount), means=means, **more)

    def deposit(self, amount: str, means: str = "check", **more: Any) -> Any:
        from billing.invoices.actions import receive_deposit

        return receive_deposit(by=self.cast.desk, job=self.job, amount=Decimal(amount), means=means, **more)

    def credit(self, invoice: Invoice, amount: str | None = None, charges: Any = ()) -> Any:
        from billing.invoices.actions import credit_invoice

        sum_ = None if amount is None else Decimal(amount)
        return credit_invoice(by=self.cast.manager, invoice=invoice, reason="Agreed", amount=sum_, charges=charges)

    def owed(self, amount: str, means: str = "cash") -> Any:
        from billing.invoices.actions import receive_owed

        return receive_owed(by=self.cast.desk, customer=self.job.customer, amount=Decimal(amount), means=means)

    def refund(self, amount: str, means: str = "cash") -> Any:
        from billing.invoices.actions import refund_credit

        return refund_credit(
            by=self.cast.manager, customer=self.job.customer, amount=Decimal(amount), means=means, reason="Too much",
        )  # fmt: skip

    def write_off(self, invoice: Invoice, amount: str) -> Any:
        from billing.invoices.actions import write_off

        return write_off(by=self.cast.manager, invoice=invoice, amount=Decimal(amount), reason="Gone away")

    def loose(self, side: str, amount: str) -> Any:
        from billing.invoices.actions import write_off_loose

        customer, sum_ = self.job.customer, Decimal(amount)
        return write_off_loose(by=self.cast.manager, customer=customer, side=side, amount=sum_, reason="Too little")

    def balance(self, invoice: Invoice) -> tuple[str, ...]:
        """Paid, set free, credited, written off, open."""
        from billing.invoices.queries.balances import balance_now

        one = balance_now(invoice)
        return tuple(str(sum_) for sum_ in (one.paid, one.freed, one.credited, one.written_off, one.open))

    @property
    def held(self) -> str:
        from billing.invoices.queries.balances import held_for

        return str(held_for(self.job.customer, "USD"))


@pytest.fixture
def money(cast: Cast, job: Job) -> Money:
    return Money(cast, job)
