"""Logging that a service was done, and correcting such an entry. It resets the plans that it names."""

from __future__ import annotations

import uuid
from collections.abc import Mapping, Sequence
from datetime import datetime
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

from django.utils import timezone

from commands.envelope import command
from commands.questions import ask_once
from commands.refusals import Refused
from engineering.canonical import plain_decimal
from engineering.hours import hours_words
from staff.models import Person
from staff.policy import Permission
from vessels.hours import TENTH, impossible_hours, refuse_impossible_hours
from vessels.log.belonging import refuse_amending, refuse_same_again
from vessels.log.chain import NewEntry, append
from vessels.log.evidence import is_effective
from vessels.models import Engine, LogEntry
from vessels.wording import date_words
from workorders.models import Job, JobLine
from workorders.upkeep.actions.planning import version_at
from workorders.upkeep.models import Adoption, Basis, ServiceDone, ServiceOf, ServicePlan

DONE = "service-done"
"""The kind of entry."""


def _to_log(given: Mapping[str, Any]) -> Permission:
    return Permission.AMEND_FINDINGS if given.get("amends") else Permission.LOG_FINDINGS


@command("log_service", needs=_to_log, writes_to="engine.vessel")
def log_service(
    *,
    by: Person,
    engine: Engine,
    plans: Sequence[ServicePlan],
    line: JobLine | None = None,
    job: Job | None = None,
    engine_hours: Decimal | None = None,
    read_in: LogEntry | None = None,
    text: str = "",
    entry_id: uuid.UUID | None = None,
    happened_at: datetime | None = None,
    amends: LogEntry | None = None,
) -> ServiceDone:
    """Log that one or several services were done on an engine.

    It is a finding, and is kept whatever state the job is in. ``engine_hours`` are true hours as read at the service;
    without them ``read_in`` may name the entry of the same job that read them. With neither they are not known, and
    the next service is not known by hours.

    Raises:
        Refused: no plan is named, the engine follows none of that name, the line is another job's, the engine was
            gone then, or its hours cannot be right.
        Questions: they do not fit what was said of the last time, and somebody is there to be asked.
    """
    if amends is not None:
        refuse_amending(amends, vessel=engine.vessel, kind=DONE)
        happened_at = happened_at or amends.happened_at
    if line is not None:
        if job is not None and line.job_id != job.pk:
            raise Refused("This line is on another job.", fields={"line": "Choose a line of this job."})
        job = line.job
    named = sorted({plan.pk: plan for plan in plans}.values(), key=lambda plan: (plan.name.lower(), plan.pk))
    _refuse_plans_not_followed(named, engine)
    _refuse_gone(engine, happened_at)
    if engine_hours is not None:
        read_in = None
        refuse_impossible_hours(engine, engine_hours, happened_at, amends=amends)
    if read_in is not None:
        _refuse_strange_reading(read_in, engine, job)
    read = engine_hours if engine_hours is not None else read_in.engine_hours if read_in is not None else None
    if read is not None:
        _ask_about_what_was_said(engine, named, read, happened_at)
    if amends is not None:
        _refuse_the_same(amends, engine, named, line, (job, engine_hours, read_in, text.strip(), happened_at))
    done = ServiceDone(line=line, read_in=read_in)
    when = happened_at or timezone.now()
    append(
        NewEntry(
            kind=DONE,
            vessel=engine.vessel,
            author=by,
            summary=f"Service done: {', '.join(plan.name for plan in named)}",
            happened_at=happened_at,
            id=entry_id,
            engine=engine,
            job_id=job.pk if job is not None else None,
            engine_hours=engine_hours,
            text=text.strip(),
            amends=amends,
        ),
        detail=done,
        children=[ServiceOf(done=done, plan_version=version_at(plan, when)) for plan in named],
    )
    return done


def _refuse_plans_not_followed(plans: Sequence[ServicePlan], engine: Engine) -> None:
    if not plans:
        raise Refused("Choose what was done.", fields={"plans": "Choose at least one service."})
    followed = set(Adoption.objects.filter(engine=engine).values_list("plan_id", flat=True))
    for plan in plans:
        if plan.pk not in followed:
            sentence = f"{engine} does not follow “{plan}”. Have it follow the plan first."
            raise Refused(sentence, fields={"plans": sentence})


def _refuse_gone(engine: Engine, at: datetime | None) -> None:
    day = timezone.localdate(at) if at else timezone.localdate()
    if engine.removed_on is not None and engine.removed_on < day:
        sentence = f"This engine was removed from the boat on {date_words(engine.removed_on)}."
        raise Refused(sentence, fields={"happened_at": sentence})


def _refuse_strange_reading(read_in: LogEntry, engine: Engine, job: Job | None) -> None:
    if job is None or read_in.job_id != job.pk or read_in.engine_id != engine.pk or read_in.engine_hours is None:
        raise impossible_hours("These hours were not read on this engine on this job.")
    if not is_effective(read_in):
        raise impossible_hours("These hours were corrected or voided since. Read the meter.")


def _ask_about_what_was_said(engine: Engine, plans: Sequence[ServicePlan], hours: Decimal, at: datetime | None) -> None:
    """Ask once where hours do not fit those at which a plan was said to be done last. Both are over all meters.

    What was said is no reading, and may be wrong; on one and the same day nobody knows which was first.
    """
    day = timezone.localdate(at) if at else timezone.localdate()
    hours = hours.quantize(TENTH, rounding=ROUND_HALF_UP)  # as it will stand on record
    said = Adoption.objects.filter(
        engine=engine, plan__in=plans, ended_at=None, basis=Basis.DONE, last_hours__isnull=False
    )  # fmt: skip
    for one in said.select_related("plan").order_by("plan__name", "pk"):
        if one.last_on is None or one.last_hours is None:
            continue
        odd = ""
        if one.last_on < day and hours < one.last_hours:
            odd = f"{hours_words(hours)} is less"
        elif one.last_on > day and hours > one.last_hours:
            odd = f"{hours_words(hours)} before that day is more"
        if odd:
            said_at = f"{date_words(one.last_on)} at {hours_words(one.last_hours)}"
            sentence = (
                f"It was said that “{one.plan}” was done on {said_at}; {odd}, and engine hours only grow. "
                "Read the meter again. If what was said is wrong, correct it where the engine follows the plan."
            )
            key = f"told {one.plan_id} of {engine.pk}: {plain_decimal(hours)}"
            ask_once(key, sentence, field="hours", tick=f"{engine}: {hours_words(hours)}")
            return


def _refuse_the_same(
    amends: LogEntry,
    engine: Engine,
    named: Sequence[ServicePlan],
    line: JobLine | None,
    told: tuple[Job | None, Decimal | None, LogEntry | None, str, datetime | None],
) -> None:
    """A correction that says what stands there already is none."""
    job, engine_hours, read_in, text, happened_at = told
    stood = ServiceDone.objects.get(pk=amends.pk)
    plans = {one.plan_version.plan_id for one in stood.services.select_related("plan_version")}
    was = (amends.engine_id, plans, stood.line_id, amends.job_id, amends.engine_hours, stood.read_in_id)
    now = (
        engine.pk, {plan.pk for plan in named}, line.pk if line else None, job.pk if job else None, engine_hours,
        read_in.pk if read_in else None,
    )  # fmt: skip
    refuse_same_again(amends, is_same=was == now and amends.happened_at == happened_at and text in {"", amends.text})
