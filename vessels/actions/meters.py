"""Hour meters: read and replaced. An engine's true hours only ever grow."""

from __future__ import annotations

import uuid
from datetime import datetime
from decimal import ROUND_HALF_UP, Decimal

from django.utils import timezone

from commands.envelope import command
from engineering.hours import hours_words
from staff.models import Person
from staff.policy import Permission, require
from staff.refusals import Refused
from vessels.hours import TENTH, Neighbors, backwards, first_meter, hours_around, meter_at
from vessels.log.chain import NewEntry, append, begin
from vessels.log.registry import needed_to_take_back
from vessels.models import Engine, HourMeter, HourReading, LogEntry, MeterReplacement
from vessels.wording import day_words

MOST_HOURS = Decimal(400_000)
"""More than 45 years without a stop: a slip of the finger. Common practice, no source."""


@command("log_hours")
def log_hours(
    *,
    by: Person,
    engine: Engine,
    shown: Decimal,
    job_id: int | None = None,
    text: str = "",
    amends: LogEntry | None = None,
    entry_id: uuid.UUID | None = None,
    happened_at: datetime | None = None,
) -> LogEntry:
    """Log what an engine's hour meter shows. A reading from the past is welcome where it fits between its neighbors.

    ``amends`` is a reading of this engine that the new one replaces.

    Raises:
        Refused: the engine would have run backwards.
    """
    require(by, needed_to_take_back(by, amends) if amends else Permission.EDIT_RECORDS)
    before = begin(engine.vessel, entry_id=entry_id, kind="hours")
    if before is not None:
        return before
    when = happened_at or (amends.happened_at if amends else timezone.now())
    shown = _tenths(shown, "shown")
    if amends is not None and amends.engine_id != engine.pk:
        raise Refused("This reading is of another engine. Take it back there, and log it here.")
    meter = meter_at(engine, when) or first_meter(engine)
    true = meter.true_hours(shown)
    sentence = backwards(true, hours_around(engine, when, but=amends))
    if sentence is not None:
        raise Refused(sentence, fields={"shown": sentence})
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


@command("replace_meter")
def replace_meter(
    *,
    by: Person,
    engine: Engine,
    old_shown: Decimal | None,
    new_shown: Decimal = Decimal("0"),
    job_id: int | None = None,
    text: str = "",
    entry_id: uuid.UUID | None = None,
    happened_at: datetime | None = None,
) -> HourMeter:
    """Fit another hour meter; the engine's true hours go on from what the old one showed.

    ``old_shown`` None means that the old meter could not be read: the last hours known count then.
    """
    require(by, Permission.EDIT_RECORDS)
    before = begin(engine.vessel, entry_id=entry_id, kind="meter-replaced")
    if before is not None:
        return MeterReplacement.objects.select_related("new_meter").get(pk=before.pk).new_meter
    when = happened_at or timezone.now()
    new_shown = _tenths(new_shown, "new_shown")
    old_meter = engine.meters.order_by("-fitted_at", "-pk").first() or first_meter(engine)
    around = hours_around(engine, when)
    _refuse_later_readings(around)
    _settle_fitting(old_meter, when)
    if old_shown is not None:
        old_shown = _tenths(old_shown, "old_shown")
        true = old_meter.true_hours(old_shown)
        if around.before is not None and true < around.before.hours:
            sentence = (
                f"The engine had {hours_words(around.before.hours)} on {day_words(around.before.at)}; "
                f"{hours_words(old_shown)} on the old meter is less. Look again, or leave it empty."
            )
            raise Refused(sentence, fields={"old_shown": sentence})
    elif around.before is not None:
        true = around.before.hours
    else:
        sentence = (
            "No hours of this engine are known yet. Write what the old meter showed, or a best guess with a note."
        )
        raise Refused(sentence, fields={"old_shown": sentence})
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
            summary=f"Hour meter replaced at {hours_words(true)}; the new one began at {hours_words(new_shown)}",
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
        sentence = "No engine has run so long. Write the hours as the meter shows them, such as 1204.5."
        raise Refused(sentence, fields={field: sentence})
    return Decimal(shown).quantize(TENTH, rounding=ROUND_HALF_UP)


def _read(engine: Engine, shown: Decimal, true: Decimal) -> str:
    position = engine.get_position_display()
    if shown == true:
        return f"{position}: {hours_words(shown)}"
    return f"{position}: meter shows {hours_words(shown)}, true hours {hours_words(true)}"


def _refuse_later_readings(around: Neighbors) -> None:
    if around.after is not None:
        sentence = (
            f"Hours were logged on {day_words(around.after.at)}, after this. A meter can only be replaced after the "
            f"last reading: check the date, or take that reading back in the log."
        )
        raise Refused(sentence, fields={"happened_at": sentence})
