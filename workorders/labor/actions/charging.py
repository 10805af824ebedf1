"""The desk turns hours into charges: a labor charge for each line, each stretch at most once."""

from __future__ import annotations

import uuid

from commands.envelope import command, tell
from commands.refusals import Refused
from staff.models import Person
from staff.policy import Permission
from staff.queries import shop_profile
from workorders.actions.charges import add_charge
from workorders.actions.checking import lock_job, refuse_ended
from workorders.guards import one_touch
from workorders.labor.models import Sold
from workorders.labor.queries import job_labor
from workorders.labor.reckoning import plain_hours
from workorders.models import Job, JobLine
from workorders.money import ChargeKind
from workorders.queries.sums import counted_charges
from workorders.voiding import tell_total


@command("charge_hours", needs=Permission.SET_PRICES, writes_to="job.vessel")
def charge_hours(
    *, by: Person, job: Job, seen_minutes: int, line: JobLine | None = None, entry_id: uuid.UUID | None = None
) -> Job:
    """Charge what is clocked and noted on a job and stands in no charge yet, line by line, at the shop's rate.

    ``line``: only this one; None: each of which something would be charged. ``seen_minutes`` is what the person saw
    that would be charged.

    Raises:
        Refused: there is nothing to charge, it is no longer what the person saw, or the job has ended.
    """
    stored = lock_job(job)
    refuse_ended(stored)
    shop = shop_profile()
    labor = job_labor(stored, shop=shop)
    offered = [one for one in labor.offers if line is None or one.line.pk == line.pk]
    if not offered:
        where = "this job" if line is None else f"line {line.position}"
        raise Refused(f"No hours are left to be charged on {where}.")
    now = sum(one.unsold for one in offered)
    if now != seen_minutes:
        raise Refused(
            f"The hours have changed since this page was opened: {plain_hours(seen_minutes).normalize():f} h then, "
            f"{plain_hours(now).normalize():f} h now. Look at them, and charge them again."
        )
    before = counted_charges(stored)
    with one_touch(by, stored):
        for one in offered:
            charge = add_charge(by=by, job=stored, kind=ChargeKind.LABOR, line=one.line, quantity=one.offered_hours)
            Sold.objects.bulk_create(
                Sold(charge=charge, root_id=stretch.root_id, stretch=stretch, minutes=stretch.minutes or 0)
                for stretch in one.offered
            )
    tell_total(stored, before, counted_charges(stored))
    tell(hours=[None, str(sum(one.offered_hours for one in offered))])
    return job
