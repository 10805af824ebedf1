"""An engine's true hours over time: its meters, and the readings on either side of a moment."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from django.db.models import QuerySet
from django.utils import timezone

from vessels.log.evidence import standing
from vessels.models import Engine, HourMeter, LogEntry

KINDS = ("hours", "meter-replaced")


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
    """The entries that tell the engine's hours and still stand."""
    return standing(LogEntry.objects.filter(engine=engine, kind__in=KINDS, engine_hours__isnull=False))


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
