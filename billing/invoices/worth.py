"""What jobs come to as they were invoiced and credited, with what is on no invoice yet as of today."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal

from django.db.models import Exists, OuterRef

from billing.invoices.models import CreditNote, Invoice, InvoicedCharge
from billing.invoices.pricing import given_shares, priced_rest
from workorders.models import Charge, Job
from workorders.taxes.queries import TaxRules
from workorders.worth import NotSaved, RulesOf


@dataclass
class _Charged:
    counted: list[Charge] = field(default_factory=list)
    on_paper: set[int] = field(default_factory=set)

    @property
    def rest(self) -> list[Charge]:
        return [one for one in self.counted if one.pk not in self.on_paper]


def is_invoiced() -> Exists:
    """Whether anything of a job was invoiced; its key is ``pk`` outside."""
    return Exists(Invoice.objects.filter(job=OuterRef("pk")).order_by())


def as_invoiced(
    jobs: Sequence[Job], currency: str, rules_of: RulesOf, more: NotSaved | None = None
) -> dict[int, Decimal]:
    """The sums of those jobs of which anything was invoiced, all of it in the shop's currency.

    ``more`` are charges that are not saved yet, by job.
    """
    found = _totals([job.pk for job in jobs], currency)
    if found:
        its = [job for job in jobs if job.pk in found]
        for key, rest in rests_of_jobs(its, currency, rules_of, more).items():
            found[key] += rest
    return found


def rests_of_jobs(
    jobs: Sequence[Job], currency: str, rules_of: RulesOf, more: NotSaved | None = None
) -> dict[int, Decimal]:
    """What the charges on no invoice come to with tax, of those jobs that have any."""
    more = more or {}
    left = Charge.objects.filter(job__in=jobs, struck_at=None, invoiced=None).order_by()
    resting = set(left.values_list("job", flat=True).distinct()) | (more.keys() & {job.pk for job in jobs})
    if not resting:
        return {}
    of_job: dict[int, _Charged] = defaultdict(_Charged)
    for charge in Charge.objects.filter(job__in=resting, struck_at=None).order_by("pk"):
        of_job[charge.job_id].counted.append(charge)
    for key, charges in more.items():
        of_job[key].counted += charges
    papers = InvoicedCharge.objects.filter(invoice__job__in=resting).order_by()
    for key, on_paper in papers.values_list("invoice__job", "charge"):
        of_job[key].on_paper.add(on_paper)
    asked = [job for job in jobs if job.pk in resting]
    rules = rules_of(asked)
    given = _given(asked, rules, of_job)
    found = {}
    for job in asked:
        its = of_job[job.pk]
        found[job.pk] = priced_rest(its.rest, its.counted, given[job.pk], rules[job.pk], currency=currency).total
    return found


def _totals(jobs: Collection[int], currency: str) -> dict[int, Decimal]:
    """What was invoiced of each job less what was credited; not of one with an invoice in other money."""
    found: dict[int, Decimal] = defaultdict(Decimal)
    others = set()
    for job, total, money in Invoice.objects.filter(job__in=jobs).values_list("job", "total", "currency").order_by():
        found[job] += total
        if money != currency:
            others.add(job)
    if found:
        notes = CreditNote.objects.filter(invoice__job__in=found).order_by()
        for job, total in notes.values_list("invoice__job", "total"):
            found[job] -= total
    return {job: total for job, total in found.items() if job not in others}


def invoiced_of(job: Job, currency: str) -> Decimal:
    """What was invoiced of a job less what was credited; nothing where an invoice is in other money."""
    return _totals([job.pk], currency).get(job.pk, Decimal(0))


def _given(
    jobs: Sequence[Job], rules: Mapping[int, TaxRules], charged: Mapping[int, _Charged]
) -> dict[int, dict[int, Decimal]]:
    """The shares of a discount that charges have on invoices; asked only of jobs that have a discount."""
    discounted = [job.pk for job in jobs if rules[job.pk].discount is not None]
    records: dict[int, list[str]] = defaultdict(list)
    if discounted:
        for job, record in Invoice.objects.filter(job__in=discounted).values_list("job", "record").order_by():
            records[job].append(record)
    return {
        job.pk: given_shares(records[job.pk], {one.pk for one in charged[job.pk].counted} & charged[job.pk].on_paper)
        for job in jobs
    }
