"""Logging a part that was fitted, and correcting such an entry."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from datetime import datetime
from decimal import Decimal
from typing import Any

from django.db.models import Value
from django.utils import timezone

from commands.envelope import command
from commands.questions import ask_once
from commands.refusals import Refused
from parts.models import Part
from staff.models import Person
from staff.policy import Permission
from vessels.hours import impossible_hours, refuse_impossible_hours
from vessels.log.belonging import refuse_amending, refuse_same_again
from vessels.log.chain import NewEntry, append
from vessels.log.evidence import superseded
from vessels.models import Engine, LogEntry
from vessels.models.searching import squeeze, squeezed
from vessels.wording import date_words, day_words
from workorders.jobparts.actions.checking import name_it, refuse_long_words, refuse_odd_quantity, refuse_strange_line
from workorders.jobparts.models import CONDITIONS, FATES, PartFitted
from workorders.models import Job, JobLine

FITTED = "part-fitted"
"""The kind of entry."""


def _to_fit(given: Mapping[str, Any]) -> Permission:
    return Permission.AMEND_FINDINGS if given.get("amends") else Permission.FIT_PARTS


@command("fit_part", needs=_to_fit, writes_to="job.vessel")
def fit_part(
    *,
    by: Person,
    job: Job,
    quantity: Decimal,
    condition: str,
    part: Part | None = None,
    maker: str = "",
    number: str = "",
    description: str = "",
    serial: str = "",
    line: JobLine | None = None,
    engine: Engine | None = None,
    engine_hours: Decimal | None = None,
    old_serial: str = "",
    old_fate: str = "",
    text: str = "",
    entry_id: uuid.UUID | None = None,
    happened_at: datetime | None = None,
    amends: LogEntry | None = None,
) -> PartFitted:
    """Log that a part was fitted: of the catalog, or by what was typed, into an engine or the boat itself.

    It is a finding, and is kept whatever state the job is in: a tablet may send it after the job was closed.
    ``old_serial`` and ``old_fate`` say of the part that came out which it was and what became of it.

    Raises:
        Refused: what it is, how many or in what condition is missing or cannot be; the line is another job's; the
            engine was not in the boat then, or its hours cannot be right.
    """
    wrong = None
    if amends is not None:
        wrong = _corrected(amends, job)
        happened_at = happened_at or amends.happened_at
    fitted = PartFitted(
        line=line,
        quantity=quantity,
        condition=condition,
        serial=" ".join(serial.split()),
        old_serial=" ".join(old_serial.split()),
        old_fate=old_fate,
        first_id=wrong.first_key if wrong else None,
    )
    name_it(fitted, part=part, maker=maker, number=number, description=description, was=wrong.number if wrong else "")
    if amends is not None and wrong is not None:
        entry = (amends.engine, amends.engine_hours, amends.happened_at)
        is_same = entry == (engine, engine_hours, happened_at) and text in {"", amends.text}
        is_same = is_same and _says_the_same(fitted, wrong)
        refuse_same_again(amends, is_same=is_same)
    refuse_odd_quantity(quantity)
    refuse_strange_line(line, job)
    _refuse_unsaid(fitted)
    refuse_long_words(fitted, "serial", "old_serial")
    _refuse_engine_that_was_gone(engine, happened_at)
    if engine is None and engine_hours is not None:
        raise impossible_hours("Hours belong to an engine, and no engine is chosen. Leave them empty.")
    if not _stands_so(amends, engine, engine_hours, happened_at):
        refuse_impossible_hours(engine, engine_hours, happened_at, amends=amends)
    _ask_about_engine(line, engine)
    _ask_about_twin(fitted, amends)
    append(
        NewEntry(
            kind=FITTED,
            vessel=job.vessel,
            author=by,
            summary=_summary(fitted),
            happened_at=happened_at,
            id=entry_id,
            engine=engine,
            job_id=job.pk,
            engine_hours=engine_hours,
            text=text,
            amends=amends,
        ),
        detail=fitted,
    )
    return fitted


def _corrected(amends: LogEntry, job: Job) -> PartFitted:
    """What is corrected: a part of this job that still counts."""
    refuse_amending(amends, vessel=job.vessel, kind=FITTED)
    if amends.job_id != job.pk:
        raise Refused("This part was fitted on another job of the boat. Void it there, and log it here.")
    return PartFitted.objects.get(pk=amends.pk)


def _says_the_same(fitted: PartFitted, wrong: PartFitted) -> bool:
    """Whether a correction says of the part what stands there already."""
    names = (
        "line",
        "part",
        "maker",
        "number",
        "description",
        "quantity",
        "condition",
        "serial",
        "old_serial",
        "old_fate",
    )
    return all(getattr(fitted, name) == getattr(wrong, name) for name in names)


def _stands_so(
    amends: LogEntry | None, engine: Engine | None, hours: Decimal | None, happened_at: datetime | None
) -> bool:
    """Whether the hours are those that are on record already: they were asked about then, and are not corrected."""
    if amends is None:
        return False
    return (amends.engine, amends.engine_hours, amends.happened_at) == (engine, hours, happened_at)


def _refuse_unsaid(fitted: PartFitted) -> None:
    if fitted.condition not in dict(CONDITIONS):
        sentence = "Say whether it is new, used, rebuilt or reconditioned."
        raise Refused(sentence, fields={"condition": sentence})
    if fitted.old_fate and fitted.old_fate not in dict(FATES):
        sentence = "Say what became of the old part, or leave it out."
        raise Refused(sentence, fields={"old_fate": sentence})
    if fitted.serial and fitted.quantity != 1:
        sentence = "A serial number belongs to one piece. Log each piece by itself."
        raise Refused(sentence, fields={"serial": sentence})


def _refuse_engine_that_was_gone(engine: Engine | None, at: datetime | None) -> None:
    day = timezone.localdate(at) if at else timezone.localdate()
    if engine is not None and engine.removed_on is not None and engine.removed_on < day:
        sentence = f"This engine was removed from the boat on {date_words(engine.removed_on)}."
        raise Refused(sentence, fields={"engine": f"{sentence} Choose the engine that is there, or an earlier time."})


def _ask_about_engine(line: JobLine | None, engine: Engine | None) -> None:
    """A line about one engine seldom has parts for the other."""
    if line is None or engine is None or line.engine_id in {None, engine.pk}:
        return
    sentence = f"Line {line.position} is about {line.engine}, and you chose {engine}."
    tick = f"a part for line {line.position} on {engine}"
    ask_once(f"engine {engine.pk} for line {line.pk}", sentence, field="engine", tick=tick)


def _ask_about_twin(fitted: PartFitted, amends: LogEntry | None) -> None:
    """A piece with a serial number is fitted once, unless it was taken out since."""
    if not fitted.serial:
        return
    key = squeeze(fitted.serial)
    twins = PartFitted.objects.alias(tight=squeezed("serial")).filter(tight=Value(key)).exclude(superseded("entry"))
    if amends is not None:
        twins = twins.exclude(pk=amends.pk)
    twin = twins.select_related("entry__vessel").order_by("-entry__happened_at").first()
    if twin is None or squeeze(twin.number) != squeeze(fitted.number):
        return
    told = f"The log has this serial number on {twin.entry.vessel} already, of {day_words(twin.entry.happened_at)}."
    told += " Check that it is not logged twice."
    ask_once(f"serial {key}", told, field="serial", tick=f"serial {fitted.serial} a second time")


def _summary(fitted: PartFitted) -> str:
    serial = f", serial {fitted.serial}" if fitted.serial else ""
    return f"Fitted {fitted}, {fitted.condition}{serial}"
