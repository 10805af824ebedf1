"""Engines' hours and control units' identifications."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from decimal import Decimal

from django.db.models import Prefetch, QuerySet
from django.utils import timezone

from staff.rows import rows
from vessels.hours import known_hours, meter_at
from vessels.log.evidence import standing
from vessels.models import ControlUnit, Engine, LogEntry, UnitIdentification, Vessel
from vessels.models.hulls import engine_words


def hours_at(engine: Engine, shown: Decimal, *, at: datetime | None = None) -> Decimal:
    """The engine's true hours when its meter shows ``shown``, now or at a moment of the past."""
    meter = meter_at(engine, at or timezone.now())
    return meter.true_hours(shown) if meter is not None else shown


def latest_hours(engine: Engine) -> LogEntry | None:
    """The last entry that tells the engine's true hours (``engine_hours``), or None."""
    return known_hours(engine).order_by("-happened_at", "-position").first()


def hours_by_engine(engines: Iterable[Engine]) -> dict[int, LogEntry]:
    """The last entry that tells each engine's hours, by the engine's key, in one query."""
    entries = (
        standing(
            LogEntry.objects.filter(
                engine__in=[engine.pk for engine in engines],
                engine_hours__isnull=False,
            )
        )
        .order_by("engine_id", "-happened_at", "-position")
        .distinct("engine_id")
    )
    return {entry.engine_id: entry for entry in entries if entry.engine_id is not None}


_ENGINES = """
    SELECT id, position, maker, model FROM vessels_engine WHERE vessel_id = %(vessel)s ORDER BY position, id
"""
_JOBS = "SELECT id, number FROM workorders_job WHERE vessel_id = %(vessel)s ORDER BY number DESC LIMIT 200"


def engine_choices(vessel: Vessel) -> list[tuple[str, str]]:
    """The engines that a vessel has or had, as keys and words to choose from."""
    return rows(lambda key, *what: (str(key), engine_words(*what)), _ENGINES, {"vessel": vessel.pk})


def job_choices(vessel: Vessel) -> list[tuple[str, str]]:
    """The last jobs of a vessel, as keys and words to choose from."""
    return rows(lambda key, number: (str(key), f"Job {number}"), _JOBS, {"vessel": vessel.pk})


def identifications(unit: ControlUnit) -> QuerySet[UnitIdentification]:
    """What a unit said it was, newest first; what was taken back is left out."""
    return (
        UnitIdentification.objects.filter(
            unit=unit, entry__in=standing(LogEntry.objects.filter(kind="unit-identified"))
        )
        .select_related("entry", "entry__author")
        .order_by("-entry__happened_at", "-entry__position")
    )


def latest_identification(unit: ControlUnit) -> UnitIdentification | None:
    """What a unit said last, or None."""
    return identifications(unit).first()


def units_with_identity(vessel: Vessel) -> QuerySet[ControlUnit]:
    """A vessel's control units with their engine and, in ``identities``, what each said last."""
    last = (
        UnitIdentification.objects.filter(
            unit__vessel=vessel, entry__in=standing(LogEntry.objects.filter(vessel=vessel, kind="unit-identified"))
        )
        .select_related("entry")
        .order_by("unit_id", "-entry__happened_at", "-entry__position")
        .distinct("unit_id")
    )
    return vessel.units.select_related("engine").prefetch_related(
        Prefetch("identifications", queryset=last, to_attr="identities")
    )
