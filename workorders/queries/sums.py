"""What the charges of a job come to."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from typing import Any

from django.db.models import Case, DecimalField, F, Q, QuerySet, Sum, When
from django.db.models.functions import Round
from django.utils import timezone

from staff.queries import shop_profile
from workorders.models import Charge, Job, JobLine
from workorders.queries.jobs import lines_of
from workorders.reckoning import ChargeKind, Item, Reckoning, discount_of, step_of
from workorders.taxes.queries import TaxRules, taxes_of, taxes_of_jobs
from workorders.taxes.shown import TaxRow, tax_rows

ONE = Decimal(1)
PRICE: DecimalField[Decimal, Decimal] = DecimalField(max_digits=24, decimal_places=2)


@dataclass
class ChargedLine:
    """A line of a job with its charges; ``line`` None holds what is charged for the job as a whole."""

    line: JobLine | None
    charges: list[Charge] = field(default_factory=list)


@dataclass(frozen=True)
class JobSum:
    """A job's lines, its charges with them, and the totals."""

    lines: list[ChargedLine]
    rest: ChargedLine
    totals: Reckoning
    rules: TaxRules

    @property
    def taxes(self) -> list[TaxRow]:
        """Each tax by its name."""
        return tax_rows(self.rules, self.totals.taxes)

    @property
    def every(self) -> list[Charge]:
        """All charges, voided ones among them."""
        return [charge for one in [*self.lines, self.rest] for charge in one.charges]

    @property
    def is_empty(self) -> bool:
        """Whether nothing was ever charged."""
        return not self.rest.charges and not any(one.charges for one in self.lines)


def job_sum(job: Job, *, currency: str, columns: Mapping[str, Any] | None = None) -> JobSum:
    """Lines and charges of a job and what they come to, in at most five queries; ``columns`` are read with charges."""
    lines = lines_of(job)
    by_line = {line.pk: ChargedLine(line) for line in lines}
    rest = ChargedLine(None)
    counted = []
    charges = job.charges.select_related("part", "added_by", "struck_by").annotate(**(columns or {}))
    for charge in charges.order_by("pk"):
        (by_line[charge.line_id] if charge.line_id else rest).charges.append(charge)
        if not charge.is_struck:
            counted.append(charge)
    rules = taxes_of(job)
    return JobSum(list(by_line.values()), rest, rules.reckon(counted, currency=currency), rules)


def counted_charges(job: Job) -> list[Charge]:
    """The charges of a job that were not voided."""
    return list(job.charges.filter(struck_at=None).order_by("pk"))


def sums_of_jobs(jobs: Sequence[Job], *, today: date | None = None, currency: str = "") -> dict[int, Decimal]:
    """What the charges of each job come to, tax included, by their keys: in the same few queries for many.

    The day and the shop's currency are looked up where they are not said.
    """
    if not jobs:
        return {}
    currency = currency or shop_profile().currency
    by_job: dict[int, list[Item]] = {job.pk: [] for job in jobs}
    for job, kind, taxable, percent, amount, _, summed in _summed_charges(by_job, currency):
        by_job[job].append(Item(ChargeKind(kind), ONE, summed, taxable, discount_of(percent, amount)))
    rules = taxes_of_jobs(jobs, today=today or timezone.localdate())
    return {key: rules[key].reckon(items, currency=currency).total for key, items in by_job.items()}


def _summed_charges(jobs: Collection[int], currency: str) -> QuerySet[Charge, tuple[Any, ...]]:
    """The amounts of charges, each rounded as ``reckon`` rounds it and added up by what taxes and discounts ask for.

    A charge with a discount of its own stands alone. Splitting and joining items changes no sum (``reckon``).
    """
    rounds = Round(
        F("quantity") * F("unit_price"), precision=-int(step_of(currency).as_tuple().exponent), output_field=PRICE
    )
    alone = Case(When(Q(discount_percent__isnull=False) | Q(discount_amount__isnull=False), then=F("pk")))
    found = Charge.objects.filter(job__in=jobs, struck_at=None).order_by().annotate(alone=alone)
    by = ("job_id", "kind", "taxable", "discount_percent", "discount_amount", "alone")
    return found.values_list(*by).annotate(summed=Sum(rounds, output_field=PRICE))
