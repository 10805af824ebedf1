"""Opening a job: the boat is here, and this is what its owner says."""

from __future__ import annotations

import uuid
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from django.utils import timezone

from commands.envelope import command
from commands.refusals import Refused
from staff.models import Person
from staff.policy import Permission
from vessels.actions import log_hours
from vessels.log.chain import NewEntry, append, following_id
from vessels.models import Engine, Vessel
from workorders.actions.checking import (
    refuse_far_promise,
    refuse_strange_engine,
    refuse_strange_technician,
    refuse_unsound,
)
from workorders.models import Job, JobLine, JobMove, JobNumber
from workorders.states import JobState

Concern = str | tuple[str, Engine | None]
NOTHING_SAID = "Enter at least one concern, in the customer's own words."


@dataclass(frozen=True)
class Said:
    """One concern, with the engine that it is about where that is known."""

    text: str
    engine: Engine | None


@command("open_job", needs=Permission.OPEN_JOBS, writes_to="vessel")
def open_job(
    *,
    by: Person,
    vessel: Vessel,
    concerns: Sequence[Concern],
    location: str = "slip",
    spot: str = "",
    keys: str = "",
    contents: str = "",
    condition: str = "",
    promised_on: date | None = None,
    technician: Person | None = None,
    engine: Engine | None = None,
    shown_hours: Decimal | None = None,
    hours: Sequence[tuple[Engine, Decimal]] = (),
    entry_id: uuid.UUID | None = None,
    happened_at: datetime | None = None,
) -> Job:
    """Open a job for a boat that is on record, as an estimate, and log the hours that its meters show.

    ``engine`` with ``shown_hours`` is the short form of ``hours`` for one engine.

    Raises:
        Refused: nothing was said, an engine belongs to another boat, or hours run backwards (``fields`` then names
            ``hours-<key of the engine>``).
    """
    said = _heard(concerns, vessel)
    refuse_strange_technician(technician)
    refuse_far_promise(promised_on)
    vessel.refresh_from_db(fields=["owner"])
    opened_at = happened_at or timezone.now()
    job = Job(
        vessel=vessel,
        customer=vessel.owner,
        opened_by=by,
        opened_at=opened_at,
        state_since=opened_at,
        promised_on=promised_on,
        location=location,
        spot=spot.strip(),
        keys=keys.strip(),
        contents=contents.strip(),
        condition=condition.strip(),
        technician=technician,
    )
    refuse_unsound(job, ["location", "spot", "keys"])
    job.number = _next_number()
    job.save()
    JobLine.objects.bulk_create(
        JobLine(job=job, engine=one.engine, position=position, concern=one.text, changed_by=by)
        for position, one in enumerate(said, start=1)
    )
    _log_opening(job, said, by=by, entry_id=entry_id, happened_at=happened_at)
    told = [*hours, (engine, shown_hours)] if engine is not None and shown_hours is not None else list(hours)
    for metered, shown in told:
        _log_arrival_hours(job, metered, shown, by=by, entry_id=entry_id, happened_at=happened_at)
    return job


def _heard(concerns: Sequence[Concern], vessel: Vessel) -> list[Said]:
    pairs = [(one, None) if isinstance(one, str) else one for one in concerns]
    said = [Said(text.strip(), engine) for text, engine in pairs if text.strip()]
    if not said:
        raise Refused(NOTHING_SAID, fields={"concern": NOTHING_SAID})
    for one in said:
        refuse_strange_engine(one.engine, vessel)
    return said


def _next_number() -> int:
    """The next job number. The row stays locked until the job is committed, so numbers have no gaps."""
    JobNumber.objects.get_or_create(pk=1)
    numbers = JobNumber.objects.select_for_update().get(pk=1)
    numbers.last += 1
    numbers.save(update_fields=["last"])
    return numbers.last


def _log_opening(
    job: Job, said: Sequence[Said], *, by: Person, entry_id: uuid.UUID | None, happened_at: datetime | None
) -> None:
    engines = {one.engine for one in said}
    lines = [f"{one.text} ({one.engine})" if one.engine else one.text for one in said]
    if job.condition:
        lines.append(f"Condition on arrival: {job.condition}")
    if job.contents:
        lines.append(f"Contents on arrival: {job.contents}")
    append(
        NewEntry(
            kind="job-opened",
            vessel=job.vessel,
            author=by,
            job_id=job.pk,
            engine=engines.pop() if len(engines) == 1 else None,
            summary=f"Job {job.number} opened for {job.customer}",
            text="\n".join(lines),
            id=entry_id,
            happened_at=happened_at,
        ),
        detail=JobMove(from_state="", to_state=JobState.ESTIMATE.value),
    )


def _log_arrival_hours(
    job: Job, engine: Engine, shown: Decimal, *, by: Person, entry_id: uuid.UUID | None, happened_at: datetime | None
) -> None:
    field = f"hours-{engine.pk}"
    refuse_strange_engine(engine, job.vessel, field=field)
    try:
        log_hours(
            by=by,
            engine=engine,
            shown=shown,
            job_id=job.pk,
            text=f"On arrival, job {job.number}",
            entry_id=following_id(entry_id, field),
            happened_at=happened_at,
        )
    except Refused as refusal:
        raise Refused(refusal.sentence, fields={field: refusal.fields.get("shown", refusal.sentence)}) from refusal
