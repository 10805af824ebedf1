"""A fee that is a percentage follows what of its estimate is on the job, when a charge is voided or charged again."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from billing.estimates.actions.charging import charge_change, share_raised
from billing.estimates.lines import share_words
from billing.estimates.models import Estimate, EstimateLine
from billing.estimates.pricing import shares_of_choice
from billing.estimates.raised import at_sum
from billing.estimates.to_charge import charges_of_lines
from staff.models import Person
from staff.queries import shop_profile
from workorders.actions import strike_charge
from workorders.models import Job


def follow(by: Person, job: Job) -> None:
    """Bring the fees on a job to what is charged of their estimates now; what of them is invoiced stays as it is."""
    currency = shop_profile().currency
    for estimate, line in _fees(job, currency):
        on_job = charges_of_lines(estimate)
        there = [
            one if one.percent is not None else at_sum(one, on_job[one.key], currency)
            for one in estimate.lines.all()
            if one.key in on_job
        ]
        shares = shares_of_choice(there, currency=currency)
        found = share_raised(line, on_job[line.key], shares[line.key], currency)
        if found is not None:
            for charge in found.voided:
                strike_charge(by=by, charge=charge)
            charge_change(by, job, estimate, found, shares)


def _fees(job: Job, currency: str) -> list[tuple[Estimate, EstimateLine]]:
    """The percentages on a job, each as the version has it that it was charged from: the newest with its words."""
    found: dict[Any, tuple[Estimate, EstimateLine]] = {}
    standing: dict[Any, list[str]] = {}
    for key, words in job.charges.filter(struck_at=None).exclude(origin=None).values_list("origin", "description"):
        standing.setdefault(key, []).append(words)
    lines = EstimateLine.objects.filter(
        estimate__job=job, estimate__given_at__isnull=False, percent__isnull=False, key__in=standing
    )
    for line in lines.select_related("estimate__job", "job_line", "part").order_by("-estimate__revision", "pk"):
        start, _, end = share_words(line, Decimal(0), currency).partition("% of ")
        end = end.partition(" for ")[2]
        if any(f"({start}% of " in words and words.endswith(f" for {end})") for words in standing[line.key]):
            found.setdefault(line.key, (line.estimate, line))
    return list(found.values())
