"""A manager goes on past what a customer authorized, with a reason."""

from __future__ import annotations

import uuid
from decimal import Decimal

from billing.authorizations.models import GoingOn
from billing.authorizations.queries import standing_of
from commands.envelope import command, tell
from commands.refusals import Refused
from staff.models import Person
from staff.policy import Permission
from workorders.actions.checking import lock_job, refuse_ended, refuse_unsound
from workorders.models import Job
from workorders.money import money_words


@command("go_on", needs=Permission.GO_BEYOND, writes_to="job.vessel")
def go_on(*, by: Person, job: Job, up_to: Decimal, reason: str, entry_id: uuid.UUID | None = None) -> GoingOn:
    """Let charges pass what the customer authorized, up to a sum. It holds until the customer has been asked again.

    Raises:
        Refused: nothing was authorized that could be passed, the sum is not past it, or nobody said why.
    """
    stored = lock_job(job)
    refuse_ended(stored)
    standing = standing_of(stored)
    if standing.limit.is_open:
        raise Refused("The customer agreed to time and materials with no ceiling, so no sum stops its charges.")
    if standing.limit.sum is None:
        raise Refused("Nothing is authorized on this job, so nothing stops its charges.")
    made = GoingOn(job=stored, after=standing.last, up_to=up_to, reason=reason.strip(), noted_by=by)
    if not made.reason:
        sentence = "Write why the work goes on before the customer is asked."
        raise Refused(sentence, fields={"reason": sentence})
    refuse_unsound(made, ["up_to", "reason"])
    if up_to <= standing.limit.sum:
        sentence = f"Charges may come to {money_words(standing.limit.sum, standing.currency)} already."
        raise Refused(sentence, fields={"up_to": sentence})
    made.save()
    tell(limit=[str(standing.limit.sum), str(up_to)])
    return made
