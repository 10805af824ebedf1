"""From a job, or from an invoice that is credited, to the document that is frozen."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import date
from decimal import Decimal

from billing.invoices.crediting import bases_of
from billing.invoices.models import BillingProfile, CustomerBilling
from billing.invoices.pricing import Priced
from billing.invoices.record import (
    CREDIT,
    Concern,
    DepositPart,
    Document,
    JobPart,
    KindPart,
    Line,
    Notice,
    Parts,
    Party,
    TaxPart,
)
from staff.models import ShopProfile
from vessels.models import Customer
from workorders.models import Charge, Job
from workorders.money import ChargeKind
from workorders.reckoning import TaxDue
from workorders.taxes.queries import about_tax

NOTHING = Decimal(0)


def shop_party(shop: ShopProfile, billing: BillingProfile) -> Party:
    """The shop as it stands on its invoices."""
    return Party(
        name=shop.name,
        address=shop.address,
        phone=shop.phone,
        email=shop.email,
        country=billing.country,
        registration=billing.registration,
        vat_id=billing.vat_id,
    )


def customer_party(customer: Customer, billing: CustomerBilling | None) -> Party:
    """A customer as they stand on their invoices."""
    return Party(
        name=customer.name,
        contact=customer.contact,
        address=customer.address,
        country=billing.country if billing else "",
        vat_id=billing.vat_id if billing else "",
    )


def invoice_document(
    *,
    job: Job,
    charges: Sequence[Charge],
    priced: Priced,
    number: str,
    issued_on: date,
    due_on: date,
    shop: ShopProfile,
    billing: BillingProfile,
    of_customer: CustomerBilling | None,
    deposits: Sequence[DepositPart],
    notices: Sequence[Notice],
) -> Document:
    """An invoice over charges of a job, with what they come to."""
    sums = priced.sums
    lines = tuple(
        Line(
            charge=charge.pk,
            concern=charge.line.position if charge.line else 0,
            kind=charge.kind,
            description=charge.description,
            quantity=charge.quantity,
            unit_price=charge.unit_price,
            amount=one.amount,
            discount=one.discount,
            share=one.share,
            net=one.net,
            taxes=tuple(
                due.tax.key for due in sums.taxes if one.item.taxable and one.item.kind in due.tax.kinds
            ),
        )
        for charge, one in zip(charges, sums.items, strict=True)
    )  # fmt: skip
    taken = sum((one.amount for one in deposits), NOTHING)
    return Document(
        number=number,
        issued_on=issued_on,
        due_on=due_on,
        currency=shop.currency,
        shop=shop_party(shop, billing),
        customer=customer_party(job.customer, of_customer),
        job=_job_part(job),
        concerns=_concerns(job, {line.concern for line in lines}),
        lines=lines,
        kinds=tuple(_kinds(lines)),
        subtotal=sums.subtotal,
        discount=sums.discount,
        net=sums.net,
        taxes=tax_parts(sums.taxes, priced.certificates),
        tax=sums.tax,
        total=sums.total,
        deposits=tuple(deposits),
        due=sums.total - taken,
        how_to_pay=billing.how_to_pay,
        notices=tuple(notices),
        time_zone=shop.time_zone,
    )


def tax_parts(taxes: Iterable[TaxDue], certificates: Mapping[str, str]) -> tuple[TaxPart, ...]:
    """The taxes of an invoice; ``certificates`` are by the key of the tax that they exempt from."""
    return tuple(
        TaxPart(
            key=due.tax.key,
            name=due.tax.name,
            percent=due.tax.percent,
            base=due.base,
            due=due.due,
            certificate=certificates.get(due.tax.key, ""),
            about=about_tax(due),
            cap=due.tax.cap,
            cap_per=due.tax.cap_per.value if due.tax.cap is not None else "",
            on=due.tax.on,
        )
        for due in taxes
    )


def credit_document(
    invoice: Document, *, number: str, issued_on: date, parts: Parts, charges: Collection[int], reason: str,
    shop: Party, before: Collection[int] = (),
) -> Document:  # fmt: skip
    """A credit note over an invoice: ``parts`` are what it comes to, ``charges`` the ones that are credited whole.

    ``before`` are those that were credited whole already.

    Where part of them was credited as a sum before, what is left of them is no list of charges, and none stands there.
    """
    lines = tuple(line for line in invoice.lines if line.charge in charges)
    if sum((line.net for line in lines), NOTHING) != sum(
        (parts.get(one.kind, NOTHING) for one in invoice.kinds), NOTHING
    ):
        lines = ()
    shown = {line.charge for line in lines}
    kinds = tuple(KindPart(kind=one.kind, net=parts[one.kind]) for one in invoice.kinds if parts.get(one.kind))
    bases = bases_of(invoice, shown, before)
    taxes = tuple(
        replace(tax, due=parts.get(f"tax:{tax.key}", NOTHING), base=bases[tax.key], about="")
        for tax in invoice.taxes
        if parts.get(f"tax:{tax.key}") or bases[tax.key]
    )
    net, tax = sum((one.net for one in kinds), NOTHING), sum((one.due for one in taxes), NOTHING)
    return Document(
        kind=CREDIT,
        number=number,
        issued_on=issued_on,
        currency=invoice.currency,
        shop=shop,
        customer=invoice.customer,
        job=invoice.job,
        concerns=tuple(one for one in invoice.concerns if one.position in {line.concern for line in lines}),
        lines=lines,
        kinds=kinds,
        subtotal=net,
        discount=NOTHING,
        net=net,
        taxes=taxes,
        tax=tax,
        total=net + tax,
        due=NOTHING,
        credits=invoice.number,
        credits_of=invoice.issued_on,
        reason=reason,
        time_zone=invoice.time_zone,
    )


def _job_part(job: Job) -> JobPart:
    return JobPart(number=job.number, vessel=str(job.vessel), hin=job.vessel.hin)


def _concerns(job: Job, charged: Collection[int]) -> tuple[Concern, ...]:
    lines = job.lines.filter(position__in=charged).select_related("engine").order_by("position")
    return tuple(
        Concern(
            position=line.position,
            concern=line.concern,
            engine=str(line.engine or ""),
            correction=line.correction,
        )
        for line in lines
    )


def _kinds(lines: Sequence[Line]) -> list[KindPart]:
    sums: dict[str, Decimal] = {}
    for line in lines:
        sums[line.kind] = sums.get(line.kind, NOTHING) + line.net
    return [KindPart(kind=kind.value, net=sums[kind.value]) for kind in ChargeKind if kind.value in sums]
