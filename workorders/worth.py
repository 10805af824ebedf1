"""What jobs come to for their customers: what floors above froze as it was frozen, the rest as of today."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import Exists, Q, QuerySet
from django.utils import timezone

from staff.queries import shop_profile
from workorders.models import Charge, Job
from workorders.queries.sums import counted_charges, sums_of_jobs
from workorders.taxes.queries import TaxRules, taxes_of_jobs

RulesOf = Callable[[Sequence[Job]], Mapping[int, TaxRules]]
NotSaved = Mapping[int, Sequence[Charge]]


@dataclass(frozen=True)
class Frozen:
    """What a floor above froze of jobs. ``is_any`` asks whether it did, of the job whose key is ``pk`` outside.

    ``sums`` gets jobs, the shop's currency, what tells the taxes of some of them, and charges of a job that are not
    saved yet; it answers for those jobs of which anything was frozen.
    """

    is_any: Callable[[], Exists]
    sums: Callable[[Sequence[Job], str, RulesOf, NotSaved], Mapping[int, Decimal]]


_FROZEN: list[Frozen] = []


def register(frozen: Frozen) -> None:
    """Have what was frozen of jobs told as it was."""
    if frozen not in _FROZEN:
        _FROZEN.append(frozen)


def with_frozen(jobs: QuerySet[Job]) -> QuerySet[Job]:
    """The same jobs, each with whether anything of it was frozen: then ``worth_of_jobs`` asks of the others nothing."""
    found = Q()
    for one in _FROZEN:
        found |= Q(one.is_any())
    return jobs.annotate(is_frozen=found) if found else jobs


def worth_of_jobs(jobs: Iterable[Job], *, today: date | None = None, currency: str = "") -> dict[int, Decimal]:
    """What each job comes to, tax included, by their keys: in the same few queries for many.

    The day and the shop's currency are looked up where they are not said.
    """
    every = list(jobs)
    if not every:
        return {}
    day, money = today or timezone.localdate(), currency or shop_profile().currency

    def rules(some: Sequence[Job]) -> Mapping[int, TaxRules]:
        return taxes_of_jobs(some, today=day)

    found: dict[int, Decimal] = {}
    for frozen in _FROZEN:
        asked = [job for job in every if job.pk not in found and getattr(job, "is_frozen", True)]
        if asked:
            found |= frozen.sums(asked, money, rules, {})
    return found | sums_of_jobs([job for job in every if job.pk not in found], today=day, currency=money)


def worth_with(job: Job, charge: Charge, *, currency: str) -> Decimal:
    """What a job would come to with one more charge, which is not saved yet."""
    for frozen in _FROZEN:
        found = frozen.sums([job], currency, taxes_of_jobs, {job.pk: [charge]})
        if job.pk in found:
            return found[job.pk]
    return taxes_of_jobs([job])[job.pk].reckon([*counted_charges(job), charge], currency=currency).total
