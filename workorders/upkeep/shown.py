"""What pages of boats and jobs show of service due: the sections that this room adds to them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.http import HttpRequest

from engineering.service import Standing
from staff.policy import Permission
from staff.requests import signed_in
from vessels.log.afterwards import Later, afterwards
from vessels.models import Customer, LogEntry, Vessel
from web.rows import figures
from workorders.models import Job
from workorders.upkeep.models import Reminder
from workorders.upkeep.queries.done import LineForService, lines_for_service
from workorders.upkeep.queries.due import Due, due_of
from workorders.upkeep.wording import day_words_of, head_words, last_words, reasons


@dataclass(frozen=True)
class Shown:
    """A service as a page shows it."""

    due: Due
    head: str
    last: str
    day: str
    reasons: list[str]
    notes: Sequence[Later] = ()
    """Notes that correct the words of the entry which counts as the last time."""

    @property
    def tag(self) -> str:
        """How the tag of its standing looks: the word says it as well."""
        urgent = self.due.standing in {Standing.OVERDUE, Standing.DUE}
        return "tag-signal" if urgent else "tag-strong" if self.due.standing is Standing.SOON else "tag-soft"


def shown(due: Due, notes: Sequence[Later] = ()) -> Shown:
    """That in words."""
    return Shown(due, head_words(due), last_words(due), day_words_of(due), reasons(due), notes)


def with_notes(found: Sequence[Due]) -> list[Shown]:
    """The same, with the notes that correct what was done last: one query."""
    done = {one.followed.done_id for one in found if one.followed.is_done and one.followed.done_id is not None}
    notes = dict(LogEntry.objects.filter(pk__in=done).values_list("pk", afterwards("pk"))) if done else {}
    return [shown(one, notes[one.followed.done_id].notes if one.followed.done_id in notes else ()) for one in found]


@dataclass(frozen=True)
class OnVessel:
    """Service due on a boat's overview."""

    asked_for: list[Shown]
    not_known: int
    followed: int


def on_vessel(request: HttpRequest, vessel: Vessel) -> Any:
    """What is overdue, due or due soon, and how much is not known; nothing where no engine follows a plan."""
    found = due_of(vessel.pk)
    if not found:
        return None
    not_known = sum(due.standing is Standing.NOT_KNOWN for due in found)
    return OnVessel([shown(due) for due in found if due.is_asked_for], not_known, len(found))


@dataclass(frozen=True)
class OnLines:
    """The services of a job on its Lines tab, and what is due and not on the job."""

    lines: list[LineForService]
    others: list[Shown]
    may_log: bool
    may_add: bool


_KNOWN = """
    SELECT EXISTS(SELECT FROM upkeep_plannedline planned JOIN workorders_jobline line ON line.id = planned.line_id
                  WHERE line.job_id = %(job)s) AS has_lines,
           EXISTS(SELECT FROM upkeep_adoption adoption JOIN vessels_engine engine ON engine.id = adoption.engine_id
                  WHERE engine.vessel_id = %(vessel)s AND adoption.ended_at IS NULL) AS follows
"""


def on_lines(request: HttpRequest, job: Job) -> Any:
    """The lines that are for a service, and what is due besides; nothing where there is neither."""
    person = signed_in(request)
    known = figures(_KNOWN, {"job": job.pk, "vessel": job.vessel_id})
    lines = lines_for_service(job) if known["has_lines"] else []
    taken = {one.planned.adoption_id for one in lines}
    others = []
    if job.is_open and known["follows"]:
        others = [shown(due) for due in due_of(job.vessel_id) if due.is_asked_for and due.followed.pk not in taken]
    if not lines and not others:
        return None
    return OnLines(
        lines,
        others,
        may_log=person.may(Permission.LOG_FINDINGS),
        may_add=job.is_open and person.may(Permission.OPEN_JOBS),
    )


def on_customer(customer: Customer) -> dict[str, Any]:
    """Whether a customer wants reminders, and the last one that they got: for the customer's page."""
    return {
        "customer": customer,
        "wish": customer.reminder_wishes.select_related("by").first(),
        "last": Reminder.objects.filter(customer=customer).select_related("by").first(),
    }
