"""A charge that was stopped is kept, so that the customer is asked about it; or it is let go, with a reason."""

from __future__ import annotations

import uuid
from decimal import Decimal

from django.utils import timezone

from billing.authorizations.models import LetGo, StoppedCharge
from billing.authorizations.queries import standing_of
from billing.authorizations.stopped import open_stops, still_open
from commands.envelope import command, tell
from commands.refusals import Refused
from staff.models import Person
from staff.policy import Permission
from workorders.actions.checking import refuse_unsound
from workorders.models import Job, JobLine

BY_ITSELF = "the program notes it when it stops a charge"


@command("keep_stopped_charge", needs=Permission.SET_PRICES, writes_to="job.vessel", on_its_page=BY_ITSELF)
def keep_stopped_charge(
    *,
    by: Person,
    job: Job,
    line: JobLine | None,
    description: str,
    after: Decimal,
    limit: Decimal,
    with_it: str = "",
    entry_id: uuid.UUID | None = None,
) -> StoppedCharge | None:
    """Keep that a charge was stopped, once all that its act wrote is undone; None where nothing limits it any more.

    ``after`` is what the job would have come to after the whole act, ``limit`` where charges stopped, both with tax;
    ``with_it`` names the other charges of that act. The same that is tried again while nobody was asked is kept once.
    """
    job = Job.objects.get(pk=job.pk)  # the act may have changed the one at hand, and that is undone
    standing = standing_of(job)
    if standing.last is None:
        return None
    same = (
        open_stops()
        .filter(job=job, line=line, description=description, after=after, limit=limit, with_it=with_it)
        .first()
    )
    if same is not None:
        return same
    made = StoppedCharge.objects.create(
        job=job, line=line, last=standing.last, description=description, before=standing.total, after=after,
        limit=limit, with_it=with_it, stopped_at=timezone.now(), by=by,
    )  # fmt: skip
    tell(total=[str(made.before), str(after)], limit=[str(limit), str(limit)])
    return made


@command("let_stopped_go", needs=Permission.SET_PRICES, writes_to="job.vessel")
def let_stopped_go(*, by: Person, job: Job, reason: str, entry_id: uuid.UUID | None = None) -> LetGo:
    """Ask nobody about the charges any more that were stopped on a job and are open: they are not made.

    Raises:
        Refused: none is open, or nobody says why.
    """
    if not reason.strip():
        sentence = "Say why nobody is to be asked about it."
        raise Refused(sentence, fields={"reason": sentence})
    found = still_open(open_stops().filter(job=job).order_by("pk"))
    if not found:
        raise Refused("No stopped charge of this job waits for an answer.")
    for one in found:
        made = LetGo(stopped=one, reason=reason.strip(), noted_at=timezone.now(), noted_by=by)
        refuse_unsound(made, ["reason"])
        made.save()
    tell(let_go=[str(len(found)), "0"])
    return made
