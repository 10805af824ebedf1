"""Charges that count for nothing from now on, and what a job comes to before and after."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from django.utils import timezone

from commands.envelope import tell
from staff.models import Person
from staff.queries import shop_profile
from workorders.labor.sold import free_hours
from workorders.models import Charge, Job
from workorders.queries.sums import counted_charges
from workorders.taxes.queries import taxes_of


def void(*, by: Person, job: Job, charges: Collection[Charge]) -> None:
    """Have charges of a job count for nothing from now on; their hours and parts may be charged again.

    For an act that holds the boat's turn: the customer has it on a credit note, or nobody was asked to pay it.
    """
    before, gone = counted_charges(job), {charge.pk for charge in charges}
    for charge in charges:
        charge.struck_at, charge.struck_by = timezone.now(), by
        charge.save(update_fields=["struck_at", "struck_by"])
        free_hours(charge)
    tell_total(job, before, [one for one in before if one.pk not in gone])


def tell_total(job: Job, before: Sequence[Charge], after: Sequence[Charge]) -> None:
    """Tell the journal what the job comes to before and after."""
    currency, rules = shop_profile().currency, taxes_of(job)
    tell(job_total=[str(rules.reckon(charges, currency=currency).total) for charges in (before, after)])
