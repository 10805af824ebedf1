"""The engines of a boat, and control units' identifications."""

from __future__ import annotations

from datetime import datetime
from decimal import Decimal
from typing import NamedTuple

from django.db.models import Prefetch, QuerySet

from vessels.identity import Identity, identity_of
from vessels.log.evidence import effective
from vessels.log.registry import jobs_select
from vessels.models import ControlUnit, LogEntry, UnitIdentification, Vessel
from vessels.models.hulls import POSITION_WORDS, engine_words
from vessels.queries.hours import LAST_HOURS
from web.rows import rows


class FittedEngine(NamedTuple):
    """An engine that is in a vessel now, with the last hours known of it."""

    pk: int
    position: str
    maker: str
    model: str
    engine_hours: Decimal | None
    happened_at: datetime | None

    @property
    def where(self) -> str:
        """Its place in the boat."""
        return POSITION_WORDS.get(self.position, self.position)

    def __str__(self) -> str:
        return engine_words(self.position, self.maker, self.model)


_FITTED = f"""
    SELECT engine.id AS pk, engine.position, engine.maker, engine.model, last.engine_hours, last.happened_at
    FROM vessels_engine engine LEFT JOIN {LAST_HOURS} ON true
    WHERE engine.vessel_id = %(vessel)s AND engine.removed_on IS NULL
    ORDER BY array_position(%(order)s::text[], engine.position::text), engine.id
"""  # noqa: S608


def fitted_engines(vessel: Vessel) -> list[FittedEngine]:
    """The engines that are in a vessel now, in the order of their places, with their hours: one query."""
    return rows(FittedEngine, _FITTED, {"vessel": vessel.pk, "order": list(POSITION_WORDS)})


_ENGINES = """
    SELECT id AS pk, position, maker, model FROM vessels_engine WHERE vessel_id = %(vessel)s ORDER BY position, id
"""
_JOBS = "SELECT id AS pk, number FROM ({jobs}) job WHERE vessel_id = %(vessel)s ORDER BY number DESC LIMIT 200"


def engine_choices(vessel: Vessel) -> list[tuple[str, str]]:
    """The engines that a vessel has or had, as keys and words to choose from."""
    return rows(_engine_choice, _ENGINES, {"vessel": vessel.pk})


def job_choices(vessel: Vessel) -> list[tuple[str, str]]:
    """The last jobs of a vessel, as keys and words to choose from."""
    return rows(_job_choice, _JOBS.format(jobs=jobs_select()), {"vessel": vessel.pk})


def _engine_choice(*, pk: int, **what: str) -> tuple[str, str]:
    return str(pk), engine_words(**what)


def _job_choice(*, pk: int, number: int) -> tuple[str, str]:
    return str(pk), f"Job {number}"


def identifications(unit: ControlUnit) -> QuerySet[UnitIdentification]:
    """What a unit said it was, newest first; what was voided is left out."""
    return (
        UnitIdentification.objects.filter(
            unit=unit, entry__in=effective(LogEntry.objects.filter(kind="unit-identified"))
        )
        .select_related("entry", "entry__author")
        .order_by("-entry__happened_at", "-entry__position")
    )


def identity_at(unit: ControlUnit, when: datetime) -> Identity:
    """What a unit had said it was by then."""
    return identity_of(identifications(unit).filter(entry__happened_at__lte=when))


def units_with_identity(vessel: Vessel) -> QuerySet[ControlUnit]:
    """A vessel's control units with their engine and, in ``identities``, what each said it was, newest first."""
    said = (
        UnitIdentification.objects.filter(
            unit__vessel=vessel, entry__in=effective(LogEntry.objects.filter(vessel=vessel, kind="unit-identified"))
        )
        .select_related("entry")
        .order_by("unit_id", "-entry__happened_at", "-entry__position")
    )
    return vessel.units.select_related("engine").prefetch_related(
        Prefetch("identifications", queryset=said, to_attr="identities")
    )
