"""What charges of a job come to, by its taxes and their rates, with their part of the job's discount."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from billing.documents.frozen import thawed
from billing.invoices.models import NOTHING, InvoicedCharge
from billing.invoices.record import Document
from workorders.models import Charge, Job
from workorders.queries.sums import counted_charges
from workorders.reckoning import Discount, Reckoning
from workorders.taxes.models import SalesTax
from workorders.taxes.queries import KEPT_NAME, TaxRules, taxes_of

KEPT = "kept"
"""The key of the one percentage that jobs had before taxes had names."""


@dataclass(frozen=True)
class Priced:
    """The sums, and by the keys of taxes that the customer is exempt from, the certificate that says so."""

    sums: Reckoning
    certificates: Mapping[str, str]
    run_out: tuple[str, ...] = ()


def priced(job: Job, charges: Sequence[Charge], *, currency: str, rules: TaxRules | None = None) -> Priced:
    """What these charges of a job come to, none of which was invoiced."""
    found = rules or taxes_of(job)
    discount = None
    if found.discount is not None:
        discount = Discount(amount=_share(job, charges, found, found.discount, currency))
    return Priced(found.reckon_with(charges, discount, currency=currency), found.certificates, found.run_out)


def _share(job: Job, charges: Sequence[Charge], rules: TaxRules, discount: Discount, currency: str) -> Decimal:
    """What of the job's discount these charges have: what invoices have not given is shared out over what is left.

    So the invoices of a job give its discount to the cent, however its charges are spread over them.
    """
    counted = counted_charges(job)
    given = _given(job, {one.pk for one in counted})
    discountable = rules.reckon_with(counted, None, currency=currency).discountable
    whole = discount.within(discountable).of(discountable, currency)
    left = [one for one in counted if one.pk not in given]
    rest = max(whole - sum(given.values(), NOTHING), NOTHING)
    shared = rules.reckon_with(left, Discount(amount=rest), currency=currency)
    wanted = {one.pk for one in charges}
    return sum((one.share for charge, one in zip(left, shared.items, strict=True) if charge.pk in wanted), NOTHING)


def _given(job: Job, counted: set[int]) -> dict[int, Decimal]:
    """The shares that charges have on invoices, by charge."""
    invoiced = InvoicedCharge.objects.filter(invoice__job=job, charge__in=counted)
    given = dict.fromkeys(invoiced.values_list("charge", flat=True), NOTHING)
    for invoice in job.invoices.all():
        for line in thawed(Document, invoice.record).lines:
            if line.charge in given:
                given[line.charge] = line.share
    return given


def tax_names() -> dict[str, str]:
    """Every tax that may stand on an invoice, by its key."""
    return {KEPT: KEPT_NAME} | {str(key): name for key, name in SalesTax.objects.values_list("pk", "name")}
