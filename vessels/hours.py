"""An engine's true hours over time: its meters, and the readings on either side of a moment."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import ROUND_HALF_UP, Decimal

from django.db.models import QuerySet
from django.utils import timezone

from engineering.hours import hours_words
from staff.refusals import Refused
from vessels.log.evidence import standing
from vessels.models import Engine, HourMeter, LogEntry
from vessels.wording import day_words

TENTH = Decimal("0.1")
CLOCK_SLACK = timedelta(days=1)
"""Readings are often dated by the day alone, so hours may seem to outrun the clock by that much."""


@dataclass(frozen=True)
class KnownHours:
    """True hours that an engine had at a moment."""

    hours: Decimal
    at: datetime
    entry: LogEntry


@dataclass(frozen=True)
class Neighbors:
    """The hours known last before a moment and first after it."""

    before: KnownHours | None
    after: KnownHours | None


def meter_at(engine: Engine, when: datetime) -> HourMeter | None:
    """The meter that the engine had then; before its first fitting that is known, the first one."""
    meters = engine.meters.order_by("fitted_at", "pk")
    return meters.filter(fitted_at__lte=when).last() or meters.first()


def first_meter(engine: Engine) -> HourMeter:
    """The meter of an engine that has none on record yet: taken at its word."""
    return HourMeter.objects.create(engine=engine, fitted_at=timezone.now())


def known_hours(engine: Engine) -> QuerySet[LogEntry]:
    """The entries that tell the engine's hours and still stand: readings of its meter, and what was logged at hours."""
    return standing(LogEntry.objects.filter(engine=engine, engine_hours__isnull=False))


def hours_around(engine: Engine, when: datetime, *, but: LogEntry | None = None) -> Neighbors:
    """What is known just before and just after a moment, leaving out an entry that is about to be replaced."""
    known = known_hours(engine)
    if but is not None:
        known = known.exclude(pk=but.pk)
    before = known.filter(happened_at__lte=when).order_by("-happened_at", "-position").first()
    after = known.filter(happened_at__gt=when).order_by("happened_at", "position").first()
    return Neighbors(_as_known(before), _as_known(after))


def _as_known(entry: LogEntry | None) -> KnownHours | None:
    if entry is None or entry.engine_hours is None:
        return None
    return KnownHours(entry.engine_hours, entry.happened_at, entry)


def backwards(hours: Decimal, around: Neighbors) -> str | None:
    """Why true hours cannot lie between what is known before and after them; None where they can."""
    before, after = around.before, around.after
    if hours < 0:
        return "That is before the engine's first hour. Look at the meter again."
    if before is not None and hours < before.hours:
        return (
            f"The engine had {hours_words(before.hours)} on {day_words(before.at)}; {hours_words(hours)} is less. "
            f"If the meter was replaced, log that first. If you read this earlier, give the day and time when you "
            f"did. If the older figure was wrong, mend it or take it back in the log."
        )
    if after is not None and hours > after.hours:
        return (
            f"On {day_words(after.at)}, after this reading, the engine had {hours_words(after.hours)}; "
            f"{hours_words(hours)} is more. Check the day and the figure."
        )
    return None


def outrun(hours: Decimal, when: datetime, around: Neighbors) -> str | None:
    """How true hours would have passed faster than the clock since the last ones known; None where they did not."""
    before = around.before
    if before is None:
        return None
    ran = hours - before.hours
    if ran <= Decimal((when - before.at + CLOCK_SLACK).total_seconds()) / 3600:
        return None
    return (
        f"That is {hours_words(ran)} more than the {hours_words(before.hours)} of {day_words(before.at)}, and more "
        f"than have passed since. Look again: a point may be missing."
    )


def refuse_impossible_hours(
    engine: Engine | None, hours: Decimal | None, at: datetime | None, *, amends: LogEntry | None = None
) -> None:
    """Refuse true hours that run backward against the hours on record, or faster than the clock.

    Raises:
        Refused: with the sentence for the field ``hours``.
    """
    if engine is None or hours is None:
        return
    when = at or timezone.now()
    hours = hours.quantize(TENTH, rounding=ROUND_HALF_UP)  # as it will stand on record
    around = hours_around(engine, when, but=amends)
    faster = outrun(hours, when, around)
    if faster is not None:
        faster += " If the meter really shows this, log its hours on the engine's page first."
    sentence = backwards(hours, around) or faster
    if sentence is not None:
        raise impossible_hours(sentence)


def impossible_hours(sentence: str) -> Refused:
    """A refusal of hours, for the field that they were written in."""
    return Refused("The hours cannot be right.", fields={"hours": sentence})
