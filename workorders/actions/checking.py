"""What every action on a job checks before it writes."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date, timedelta
from typing import Any

from django.core.exceptions import ValidationError
from django.db import models
from django.utils import timezone

from commands.refusals import Refused, refusal_of
from staff.models import Person
from staff.policy import Permission
from vessels.log.belonging import of_a_boat
from vessels.models import Engine, Vessel
from web.versions import held
from workorders.models import Job, JobLine

FARTHEST_PROMISE = timedelta(days=2 * 366)


of_a_boat(
    Job,
    vessel=lambda job: job.vessel_id,
    refused=lambda job: Refused(f"Job {job.number} is for another boat."),
)
of_a_boat(
    JobLine,
    vessel=lambda line: line.job.vessel_id,
    refused=lambda _: Refused("This line is on another boat’s job.", fields={"line": "Choose a line of this job."}),
)


def refuse_unsound(record: models.Model, names: Iterable[str]) -> None:
    """Refuse what the columns do not take: too long, too many decimals, out of range, not one of the choices.

    Raises:
        Refused: with a sentence for each field.
    """
    wanted = set(names)
    others = {field.name for field in record._meta.concrete_fields if field.name not in wanted or field.is_relation}
    try:
        record.clean_fields(exclude=others)
    except ValidationError as error:
        raise refusal_of(error, "Some of this cannot be saved as entered.") from error


def refuse_far_promise(day: date | None) -> None:
    """A day years ahead is a slip of the pen.

    Raises:
        Refused: it is more than two years away.
    """
    if day is not None and day > timezone.localdate() + FARTHEST_PROMISE:
        raise Refused("This day is too far away.", fields={"promised_on": "More than two years ahead. Check the year."})


def refuse_ended(job: Job) -> None:
    """A job that is closed or canceled stays as it is until it is opened again.

    Raises:
        Refused: it is closed or canceled.
    """
    if not job.is_open:
        raise Refused(f"Job {job.number} is {job.get_state_display().lower()}. Open it again before you change it.")


def refuse_strange_engine(engine: Engine | None, vessel: Vessel, *, field: str = "engine") -> None:
    """An engine named on a job is one of the boat's.

    Raises:
        Refused: it is in another boat.
    """
    if engine is not None and engine.vessel_id != vessel.pk:
        raise Refused("This engine is in another boat.", fields={field: "Choose an engine of this boat."})


def refuse_strange_technician(technician: Person | None) -> None:
    """Who is given a job works on engines, and works here.

    Raises:
        Refused: the person does not.
    """
    if technician is not None and not technician.may(Permission.WRITE_CORRECTIONS):
        sentence = f"{technician} does not work on engines here. Choose a technician."
        raise Refused(sentence, fields={"technician": sentence})


def version_to_match(
    record: models.Model, seen_version: int, changes: Mapping[str, Any], seen: Mapping[str, Any] | None
) -> int:
    """The version that a save may build on.

    Two people who change different fields of one record do not meet: where every field that is about to be saved
    still holds what the person saw, the save builds on what is stored now. Call with the record's row locked or its
    vessel's turn in hand.
    """
    if seen is None:
        return seen_version
    stored = type(record)._default_manager.get(pk=record.pk)
    untouched = all(name in seen and held(stored, name) == seen[name] for name in changes)
    return int(stored.version) if untouched else seen_version  # type: ignore[attr-defined]


def lock_job(job: Job) -> Job:
    """The job as stored, locked until the end of the transaction."""
    return Job.objects.select_for_update(of=("self",), no_key=True).select_related("changed_by").get(pk=job.pk)
