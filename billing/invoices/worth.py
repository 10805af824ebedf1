"""What jobs come to as they were invoiced and credited, with what is on no invoice yet as of today."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal

from django.db.models import Exists, OuterRef

from billing.invoices.models import NOTHING, CreditNote, Invoice, InvoicedCharge
from billing.invoices.pricing import given_shares, priced_rest
from workorders.models import Charge, Job
from workorders.taxes.queries import TaxRules


@dataclass
class _Invoiced:
    total: Decimal = NOTHING
    counted: list[Charge] = field(default_factory=list)
    on_paper: set[int] = field(default_factory=set)

    @property
    def rest(self) -> list[Charge]:
        return [one for one in self.counted if one.pk not in self.on_paper]


def is_invoiced() -> Exists:
    """Whether anything of a job was invoiced; its key is ``pk`` outside."""
    return Exists(Invoice.objects.filter(job=OuterRef("pk")).order_by())


def as_invoiced(
    jobs: Sequence[Job], currency: str, rules_of: Callable[[Sequence[Job]], Mapping[int, TaxRules]]
) -> dict[int, Decimal]:
    """The sums of those jobs of which anything was invoiced, all of it in the shop's currency."""
    invoiced = _totals([job.pk for job in jobs], currency)
    if not invoiced:
        return {}
    left = Charge.objects.filter(job__in=invoiced, struck_at=None, invoiced=None).order_by()
    some_left = set(left.values_list("job", flat=True).distinct())
    resting = [job for job in jobs if job.pk in some_left]
    found = {key: one.total for key, one in invoiced.items()}
    if not resting:
        return found
    for charge in Charge.objects.filter(job__in=some_left, struck_at=None).order_by("pk"):
        invoiced[charge.job_id].counted.append(charge)
    papers = InvoicedCharge.objects.filter(invoice__job__in=some_left).order_by()
    for key, on_paper in papers.values_list("invoice__job", "charge"):
        invoiced[key].on_paper.add(on_paper)
    rules = rules_of(resting)
    given = _given(resting, rules, invoiced)
    for job in resting:
        its = invoiced[job.pk]
        rest = priced_rest(its.rest, its.counted, given[job.pk], rules[job.pk], currency=currency)
        found[job.pk] += rest.total
    return found


def _totals(jobs: Collection[int], currency: str) -> dict[int, _Invoiced]:
    found: dict[int, _Invoiced] = defaultdict(_Invoiced)
    others = set()
    for job, total, money in Invoice.objects.filter(job__in=jobs).values_list("job", "total", "currency").order_by():
        found[job].total += total
        if money != currency:
            others.add(job)
    if found:
        notes = CreditNote.objects.filter(invoice__job__in=found).order_by()
        for job, total in notes.values_list("invoice__job", "total"):
            found[job].total -= total
    return {job: one for job, one in found.items() if job not in others}


def _given(
    jobs: Sequence[Job], rules: Mapping[int, TaxRules], invoiced: Mapping[int, _Invoiced]
) -> dict[int, dict[int, Decimal]]:
    """The shares of a discount that charges have on invoices; asked only of jobs that have a discount."""
    discounted = [job.pk for job in jobs if rules[job.pk].discount is not None]
    records: dict[int, list[str]] = defaultdict(list)
    if discounted:
        for job, record in Invoice.objects.filter(job__in=discounted).values_list("job", "record").order_by():
            records[job].append(record)
    return {
        job.pk: given_shares(records[job.pk], {one.pk for one in invoiced[job.pk].counted} & invoiced[job.pk].on_paper)
        for job in jobs
    }
