"""What charges of a job come to, by its taxes and their rates, with their part of the job's discount."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
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
    if found.discount is None:
        sums = found.reckon_with(charges, None, currency=currency)
    else:
        counted = counted_charges(job)
        sums = priced_rest(charges, counted, _given(job, {one.pk for one in counted}), found, currency=currency)
    return Priced(sums, found.certificates, found.run_out)


def priced_rest(
    charges: Sequence[Charge],
    counted: Sequence[Charge],
    given: Mapping[int, Decimal],
    rules: TaxRules,
    *,
    currency: str,
) -> Reckoning:
    """What some charges come to that are on no invoice. ``counted`` are all of the job, ``given`` as ``given_shares``.

    What invoices have not given of the job's discount is shared out over what is left. So the invoices of a job give
    its discount to the cent, however its charges are spread over them.
    """
    discount = None
    if rules.discount is not None:
        discountable = rules.reckon_with(counted, None, currency=currency).discountable
        whole = rules.discount.within(discountable).of(discountable, currency)
        left = [one for one in counted if one.pk not in given]
        rest = max(whole - sum(given.values(), NOTHING), NOTHING)
        shared = rules.reckon_with(left, Discount(amount=rest), currency=currency)
        wanted = {one.pk for one in charges}
        shares = (one.share for charge, one in zip(left, shared.items, strict=True) if charge.pk in wanted)
        discount = Discount(amount=sum(shares, NOTHING))
    return rules.reckon_with(charges, discount, currency=currency)


def _given(job: Job, counted: set[int]) -> dict[int, Decimal]:
    """The shares that charges of a job have on its invoices, by charge."""
    invoiced = InvoicedCharge.objects.filter(invoice__job=job, charge__in=counted)
    on_paper = invoiced.values_list("charge", flat=True)
    return given_shares(job.invoices.values_list("record", flat=True), on_paper)


def given_shares(records: Iterable[str], charges: Iterable[int]) -> dict[int, Decimal]:
    """The shares of a discount that some charges have on invoices, by charge; ``records`` are those of the invoices."""
    given = dict.fromkeys(charges, NOTHING)
    for record in records:
        for line in thawed(Document, record).lines:
            if line.charge in given:
                given[line.charge] = line.share
    return given


def tax_names() -> dict[str, str]:
    """Every tax that may stand on an invoice, by its key."""
    return {KEPT: KEPT_NAME} | {str(key): name for key, name in SalesTax.objects.values_list("pk", "name")}
