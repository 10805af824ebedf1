"""What was estimated becomes what is charged: a given estimate's lines with their discounts, in one touch."""

from __future__ import annotations

import uuid
from collections.abc import Collection, Mapping, Sequence
from decimal import Decimal
from typing import Any

from billing.estimates.models import Estimate, EstimateLine
from billing.estimates.record import lines_in, thawed
from commands.envelope import command, tell
from commands.questions import ask_once
from commands.refusals import Refused
from engineering.canonical import plain_decimal
from staff.models import Person
from staff.policy import Permission
from workorders.actions import add_charge, change_job_discount, return_core
from workorders.actions.checking import lock_job, refuse_ended
from workorders.models import Charge, Job


@command("charge_estimate", needs=Permission.SET_PRICES, writes_to="estimate.job.vessel")
def charge_estimate(
    *, by: Person, estimate: Estimate, options: Sequence[str] = (), entry_id: uuid.UUID | None = None
) -> Job:
    """Charge the lines of a given estimate that are not on the job yet: the work, and the ``options`` named by key.

    The discount of the whole becomes the job's. A line that was charged from an earlier version is not charged again.

    Raises:
        Refused: it is a draft, a later version was given, two options exclude each other, all of it is charged, the job
            has ended, or it passes what was authorized.
    """
    job = lock_job(estimate.job)
    refuse_ended(job)
    _refuse_ineffective(estimate)
    lines = _chosen(estimate, set(options))
    there = set(job.charges.filter(struck_at=None).exclude(origin=None).values_list("origin", flat=True))
    left = [line for line in lines if line.key not in there]
    if not left:
        raise Refused("All of this estimate is charged on the job already.")
    _ask_about_labor(job, left)
    if estimate.discount_percent or estimate.discount_amount:
        change_job_discount(
            by=by, job=job, percent=estimate.discount_percent, amount=estimate.discount_amount, is_ahead=True
        )
    figures = {line["key"]: line for _, line in lines_in(thawed(estimate))}
    for line in sorted(left, key=lambda one: not one.core_back):  # a core that is given back takes no room of the rest
        made = _charge(by, job, line, figures[str(line.key)])
        if line.core_back:
            return_core(by=by, charge=made)
    tell(charges=[None, str(len(left))])
    return job


def _charge(by: Person, job: Job, line: EstimateLine, figures: Mapping[str, Any]) -> Charge:
    """A line as a charge; a percentage as the sum that it came to on the estimate."""
    is_share = line.percent is not None
    made = add_charge(
        by=by,
        job=job,
        kind=line.kind,
        line=line.job_line,
        description=line.description,
        quantity=Decimal(1) if is_share else line.quantity or Decimal(1),
        unit_price=Decimal(figures["amount"]) if is_share else line.unit_price,
        taxable=line.taxable,
        part=line.part,
        discount_percent=line.discount_percent,
        discount_amount=line.discount_amount,
        is_core=line.is_core,
    )
    made.origin = line.key
    made.save(update_fields=["origin"])
    return made


def _refuse_ineffective(estimate: Estimate) -> None:
    if estimate.given_at is None:
        raise Refused("Give the estimate to the customer first; then it can be charged.")
    later = estimate.job.estimates.filter(revision__gt=estimate.revision, given_at__isnull=False).last()
    if later is not None:
        raise Refused(f"Version {later.revision} was given in place of this one. Charge that one.")


def _chosen(estimate: Estimate, wanted: set[str]) -> list[EstimateLine]:
    """The lines of the work and of the options that were taken."""
    taken = [option for option in estimate.options.all() if str(option.key) in wanted]
    if len(taken) != len(wanted):
        raise Refused("One of these options is not on this estimate. Open it again.")
    groups = [option.alternatives for option in taken if option.alternatives]
    twice = next((group for group in groups if groups.count(group) > 1), "")
    if twice:
        raise Refused(f"Of the options “{twice}” the customer takes one. Choose one of them.")
    keys = {option.pk for option in taken}
    lines = estimate.lines.select_related("job_line", "part", "option").order_by("position", "pk")
    return [line for line in lines if line.option_id is None or line.option_id in keys]


def _ask_about_labor(job: Job, lines: Collection[EstimateLine]) -> None:
    """Ask once whether labor that is on the job already is charged on top: the same hours may be meant."""
    stands = list(job.charges.filter(struck_at=None, kind="labor", origin=None))
    if stands and any(line.kind == "labor" for line in lines):
        hours = plain_decimal(sum((one.quantity for one in stands), Decimal(0)))
        said = f"Labor is charged on this job already (quantity {hours}). The estimate’s labor comes on top of it."
        ask_once(f"labor {hours} on {job.number}", said, field="options", tick="Charge both")
