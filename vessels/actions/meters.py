"""Hour meters: read and replaced. An engine's true hours only ever grow."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from datetime import datetime
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

from django.utils import timezone

from commands.envelope import command
from commands.refusals import Refused
from engineering.hours import hours_words
from staff.models import Person
from staff.policy import Permission
from vessels.hours import TENTH, Neighbors, backwards, first_meter, hours_around, meter_at, meter_backwards, true_hours
from vessels.log.chain import JobKey, NewEntry, append
from vessels.log.registry import needed_to_void
from vessels.models import Engine, HourMeter, HourReading, LogEntry, MeterReplacement
from vessels.wording import day_words

_NOT_KNOWN = "The engine’s hours are not known"
MOST_HOURS = Decimal(400_000)
"""More than 45 years without a stop: a slip of the finger. Common practice, no source."""


def _to_log_hours(given: Mapping[str, Any]) -> Permission:
    amends = given.get("amends")
    return needed_to_void(given["by"], amends) if amends else Permission.EDIT_RECORDS


@command("log_hours", needs=_to_log_hours, writes_to="engine.vessel")
def log_hours(
    *,
    by: Person,
    engine: Engine,
    shown: Decimal,
    told_hours: Decimal | None = None,
    job_id: JobKey | None = None,
    text: str = "",
    amends: LogEntry | None = None,
    entry_id: uuid.UUID | None = None,
    happened_at: datetime | None = None,
) -> LogEntry:
    """Log what an engine's hour meter shows. A reading from the past is welcome where it fits between its neighbors.

    ``amends`` is a reading of this engine that the new one replaces. Where the meter took the place of one that was
    not read, the engine's true hours are not known, and nothing is said of them; ``told_hours`` gives them from
    elsewhere, such as the control unit, and ``text`` says from where.

    Raises:
        Refused: the engine would have run backwards.
    """
    when = happened_at or (amends.happened_at if amends else timezone.now())
    shown = _tenths(shown, "shown")
    if amends is not None and amends.engine_id != engine.pk:
        raise Refused("This reading is of another engine. Void it there, and log it here.")
    meter = meter_at(engine, when) or first_meter(engine)
    true = true_hours(meter, shown)
    if told_hours is not None:
        true = _told(told_hours, text, known=true)
    around = hours_around(engine, when, but=amends)
    sentence = meter_backwards(meter, shown, when, but=amends) if true is None else backwards(true, around)
    if sentence is not None:
        raise Refused(sentence, fields={"shown" if told_hours is None else "told_hours": sentence})
    return append(
        NewEntry(
            kind="hours",
            vessel=engine.vessel,
            author=by,
            engine=engine,
            job_id=job_id,
            engine_hours=true,
            summary=_read(engine, shown, true),
            text=text,
            amends=amends,
            id=entry_id,
            happened_at=when,
        ),
        detail=HourReading(meter=meter, shown=shown),
    )


@command("replace_meter", needs=Permission.EDIT_RECORDS, writes_to="engine.vessel")
def replace_meter(
    *,
    by: Person,
    engine: Engine,
    old_shown: Decimal | None = None,
    new_shown: Decimal = Decimal("0"),
    told_hours: Decimal | None = None,
    job_id: JobKey | None = None,
    text: str = "",
    entry_id: uuid.UUID | None = None,
    happened_at: datetime | None = None,
) -> HourMeter:
    """Fit another hour meter; the engine's true hours go on from what the old one showed.

    ``old_shown`` None means that the old meter was not read: dead, stopped, or gone. What the engine had run by then is
    not known, and the new meter tells its own hours alone. ``told_hours`` gives the engine's hours from elsewhere, such
    as the control unit, and ``text`` says from where.
    """
    when = happened_at or timezone.now()
    new_shown = _tenths(new_shown, "new_shown")
    old_meter = engine.meters.order_by("-fitted_at", "-pk").first() or first_meter(engine)
    around = hours_around(engine, when)
    _refuse_later_readings(around)
    _settle_fitting(old_meter, when)
    true = None
    if old_shown is not None:
        old_shown = _tenths(old_shown, "old_shown")
        true = true_hours(old_meter, old_shown)
        _refuse_less(old_meter, old_shown, true, when, around)
    if told_hours is not None:
        true = _told(told_hours, text, known=true)
        if sentence := backwards(true, around):
            raise Refused(sentence, fields={"told_hours": sentence})
    new_meter = HourMeter.objects.create(
        engine=engine, fitted_at=when, shown_when_fitted=new_shown, engine_hours_when_fitted=true
    )
    append(
        NewEntry(
            kind="meter-replaced",
            vessel=engine.vessel,
            author=by,
            engine=engine,
            job_id=job_id,
            engine_hours=true,
            summary=_replaced(old_shown, new_shown, true, is_told=told_hours is not None),
            text=text,
            id=entry_id,
            happened_at=when,
        ),
        detail=MeterReplacement(old_meter=old_meter, new_meter=new_meter, old_shown=old_shown, new_shown=new_shown),
    )
    return new_meter


def _settle_fitting(meter: HourMeter, replaced_at: datetime) -> None:
    """A meter was fitted before it was replaced.

    When an engine's first meter was fitted is not known: it counts from the day it was entered, unless a replacement
    that is logged late shows that it was there earlier. (A later meter's fitting is a reading: checked before.)
    """
    if replaced_at < meter.fitted_at:
        meter.fitted_at = replaced_at
        meter.save(update_fields=["fitted_at"])


def _tenths(shown: Decimal, field: str) -> Decimal:
    if not 0 <= shown <= MOST_HOURS:
        sentence = "No engine runs that long. Enter the hours as the meter shows them, such as 1204.5."
        raise Refused(sentence, fields={field: sentence})
    return Decimal(shown).quantize(TENTH, rounding=ROUND_HALF_UP)


def _told(hours: Decimal, text: str, *, known: Decimal | None) -> Decimal:
    """The engine's hours from elsewhere, where the meter does not tell them."""
    if known is not None:
        sentence = "The meter already shows the engine hours. Leave this empty."
        raise Refused(sentence, fields={"told_hours": sentence})
    if not text.strip():
        sentence = "Say where the engine’s hours are from, such as the control unit or the owner’s book."
        raise Refused(sentence, fields={"text": sentence})
    return _tenths(hours, "told_hours")


def _refuse_less(meter: HourMeter, shown: Decimal, true: Decimal | None, when: datetime, around: Neighbors) -> None:
    """The old meter cannot have shown less than before."""
    sentence = meter_backwards(meter, shown, when) if true is None else None
    if true is not None and around.before is not None and true < around.before.hours:
        sentence = (
            f"The engine had {hours_words(around.before.hours)} on {day_words(around.before.at)}; "
            f"{hours_words(shown)} on the old meter is less. Read it again, or leave it empty."
        )
    if sentence is not None:
        raise Refused(sentence, fields={"old_shown": sentence})


def _replaced(old_shown: Decimal | None, new_shown: Decimal, true: Decimal | None, *, is_told: bool) -> str:
    """The sentence that the log keeps of a replacement: it says only what somebody read, or told."""
    began = f"the new one began at {hours_words(new_shown)}"
    if true is not None and not is_told:
        return f"Hour meter replaced at {hours_words(true)}; {began}"
    old = "the old one was not read" if old_shown is None else f"the old one showed {hours_words(old_shown)}"
    engine = f"The engine’s hours were put at {hours_words(true)}" if true is not None else _NOT_KNOWN
    return f"Hour meter replaced; {old}, {began}. {engine}."


def _read(engine: Engine, shown: Decimal, true: Decimal | None) -> str:
    position = engine.get_position_display()
    if true is None:
        return f"{position}: meter shows {hours_words(shown)}. {_NOT_KNOWN}."
    if shown == true:
        return f"{position}: {hours_words(shown)}"
    return f"{position}: meter shows {hours_words(shown)}, engine hours {hours_words(true)}"


def _refuse_later_readings(around: Neighbors) -> None:
    if around.after is not None:
        sentence = (
            f"Hours were logged on {day_words(around.after.at)}, after this. A meter can only be replaced after the "
            f"last reading: check the date, or void that reading in the log."
        )
        raise Refused(sentence, fields={"happened_at": sentence})
