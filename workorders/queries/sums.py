"""What the charges of a job come to."""

from __future__ import annotations

from dataclasses import dataclass, field

from workorders.models import Charge, Job, JobLine
from workorders.queries.jobs import lines_of
from workorders.reckoning import Reckoning
from workorders.taxes.queries import TaxRules, taxes_of
from workorders.taxes.shown import TaxRow, tax_rows


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
    def is_empty(self) -> bool:
        """Whether nothing was ever charged."""
        return not self.rest.charges and not any(one.charges for one in self.lines)


def job_sum(job: Job, *, currency: str) -> JobSum:
    """Lines and charges of a job and what they come to, in at most five queries."""
    lines = lines_of(job)
    by_line = {line.pk: ChargedLine(line) for line in lines}
    rest = ChargedLine(None)
    counted = []
    for charge in job.charges.select_related("part", "added_by", "struck_by").order_by("pk"):
        (by_line[charge.line_id] if charge.line_id else rest).charges.append(charge)
        if not charge.is_struck:
            counted.append(charge)
    rules = taxes_of(job)
    return JobSum(list(by_line.values()), rest, rules.reckon(counted, currency=currency), rules)


def counted_charges(job: Job) -> list[Charge]:
    """The charges of a job that were not voided."""
    return list(job.charges.filter(struck_at=None).order_by("pk"))
