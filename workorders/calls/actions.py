"""A call is noted."""

from __future__ import annotations

import uuid
from datetime import date, timedelta

from django.utils import timezone

from commands.envelope import command
from commands.refusals import Refused
from staff.models import Person
from staff.policy import Permission
from staff.queries import local_day
from workorders.actions.checking import refuse_unsound
from workorders.calls.asking import Scope, asks
from workorders.calls.models import Call
from workorders.models import Job

FARTHEST = timedelta(days=366)


@command("note_call", needs=Permission.NOTE_CALLS, writes_to="job")
def note_call(
    *, by: Person, job: Job, who: str, said: str, again_on: date | None = None, entry_id: uuid.UUID | None = None
) -> Call:
    """Note that somebody was called about a job, what was said, and when to call again.

    Raises:
        Refused: it is not said who or what, or the day cannot be.
    """
    fields = {}
    if not who.strip():
        fields["who"] = "Say who was called."
    if not said.strip():
        fields["said"] = "Say what was said, also where nobody answered."
    today = local_day(timezone.now())
    if again_on is not None and not today <= again_on <= today + FARTHEST:
        fields["again_on"] = "Choose a day from today on, no more than a year ahead."
    if fields:
        raise Refused("Who was called, and what was said?", fields=fields)
    about = [ask.key for ask in asks(Scope([job.pk], with_hours=False))]
    made = Call(
        job=job,
        customer=job.customer,
        who=who.strip(),
        said=said.strip(),
        again_on=again_on,
        about=about,
        at=timezone.now(),
        by=by,
    )
    refuse_unsound(made, ("who", "said"))
    made.save()
    return made
