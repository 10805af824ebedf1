"""What the charges of a job come to."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from typing import Any

from django.utils import timezone

from staff.queries import shop_profile
from web.rows import rows
from workorders.models import Charge, Job, JobLine
from workorders.queries.jobs import lines_of
from workorders.reckoning import ChargeKind, Item, Reckoning, discount_of, step_of
from workorders.taxes.queries import TaxRules, taxes_of_jobs
from workorders.taxes.shown import TaxRow, tax_rows

ONE = Decimal(1)


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


def job_sum(job: Job, *, currency: str, columns: Mapping[str, Any] | None = None, today: date | None = None) -> JobSum:
    """Lines and charges of a job and what they come to, in at most five queries; ``columns`` are read with charges.

    The shop's day is looked up where it is not said.
    """
    lines = lines_of(job)
    by_line = {line.pk: ChargedLine(line) for line in lines}
    rest = ChargedLine(None)
    counted = []
    charges = job.charges.select_related("struck_by").annotate(**(columns or {}))
    for charge in charges.order_by("pk"):
        (by_line[charge.line_id] if charge.line_id else rest).charges.append(charge)
        if not charge.is_struck:
            counted.append(charge)
    _tell_cores(counted)
    rules = taxes_of_jobs([job], today=today)[job.pk]
    return JobSum(list(by_line.values()), rest, rules.reckon(counted, currency=currency), rules)


def _tell_cores(counted: Sequence[Charge]) -> None:
    """Give each core charge ``cores_left``: how many did not come back yet."""
    back: dict[int, Decimal] = {}
    for one in counted:
        if one.core_of_id is not None:
            back[one.core_of_id] = back.get(one.core_of_id, Decimal(0)) - one.quantity
    for one in counted:
        if one.is_core and one.core_of_id is None:
            one.cores_left = one.quantity - back.get(one.pk, Decimal(0))  # type: ignore[attr-defined]


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
    rules = taxes_of_jobs(jobs, today=today or timezone.localdate())
    apart = any(one.counts_lines for one in rules.values())
    for one in _summed_charges(by_job, currency, apart=apart):
        discount = discount_of(one.percent, one.amount)
        by_job[one.job].append(Item(ChargeKind(one.kind), ONE, one.summed, one.taxable, discount, one.is_core))
    return {key: rules[key].reckon(items, currency=currency).total for key, items in by_job.items()}


@dataclass(frozen=True)
class _Summed:
    """Charges of a job that are alike for taxes and discounts, and what they come to."""

    job: int
    kind: str
    taxable: bool
    is_core: bool
    percent: Decimal | None
    amount: Decimal | None
    summed: Decimal


_SUMMED = """
    SELECT job_id AS job, kind, taxable, is_core, discount_percent AS percent, discount_amount AS amount,
           sum(round(quantity * unit_price, %(places)s::int)) AS summed
    FROM workorders_charge WHERE job_id = ANY(%(jobs)s) AND struck_at IS NULL
    GROUP BY job_id, kind, taxable, is_core, discount_percent, discount_amount,
             CASE WHEN discount_percent IS NULL AND discount_amount IS NULL AND NOT %(apart)s THEN 0 ELSE id END
"""


def _summed_charges(jobs: Collection[int], currency: str, *, apart: bool) -> list[_Summed]:
    """The amounts of charges, each rounded as ``reckon`` rounds it, added up; one with a discount stands alone.

    Splitting and joining items changes no sum (``reckon``); ``apart`` leaves them alone where it does.
    """
    places = -int(step_of(currency).as_tuple().exponent)
    return rows(_Summed, _SUMMED, {"jobs": list(jobs), "places": places, "apart": apart})
