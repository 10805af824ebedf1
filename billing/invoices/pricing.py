"""What charges of a job come to, by its taxes and their rates."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from workorders.models import Charge, Job
from workorders.reckoning import Reckoning
from workorders.taxes.models import SalesTax
from workorders.taxes.queries import KEPT_NAME, taxes_of

KEPT = "kept"
"""The key of the one percentage that jobs had before taxes had names."""


@dataclass(frozen=True)
class Priced:
    """The sums, and by the keys of taxes that the customer is exempt from, the certificate that says so."""

    sums: Reckoning
    certificates: Mapping[str, str]
    run_out: tuple[str, ...] = ()


def priced(job: Job, charges: Sequence[Charge], *, currency: str) -> Priced:
    """What these charges of a job come to."""
    rules = taxes_of(job)
    return Priced(rules.reckon(charges, currency=currency), rules.certificates, rules.run_out)


def tax_names() -> dict[str, str]:
    """Every tax that may stand on an invoice, by its key."""
    return {KEPT: KEPT_NAME} | {str(key): name for key, name in SalesTax.objects.values_list("pk", "name")}
