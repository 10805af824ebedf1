"""The lists of vessels and customers, a page at a time, and the pieces of a vessel's overview."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.db.models import Count, QuerySet
from django.db.models.functions import Lower

from vessels.models import Customer, Engine, Ownership, Vessel
from vessels.queries.finding import matching_customers, matching_vessels
from vessels.queries.hours import hours_by_engine

BY_NAME = Lower("name")
"""The order of lists by name."""


@dataclass(frozen=True)
class EngineWithHours:
    """An engine and the last entry that tells its hours."""

    engine: Engine
    last: Any


def vessel_list(*, text: str, kind: str, owner: Customer | None = None) -> QuerySet[Vessel]:
    """Vessels that fit, not yet ordered or cut."""
    vessels = matching_vessels(text) if text.strip() else Vessel.objects.all()
    vessels = vessels.select_related("owner").prefetch_related("engines")
    if kind:
        vessels = vessels.filter(kind=kind)
    if owner is not None:
        vessels = vessels.filter(owner=owner)
    return vessels


def customer_list(*, text: str) -> QuerySet[Customer]:
    """Customers whose name, contact, phone or mail address fits, not yet ordered or cut."""
    customers = Customer.objects.prefetch_related("phones").annotate(boats=Count("vessels", distinct=True))
    return customers.filter(pk__in=matching_customers(text).values("pk")) if text.strip() else customers


def engines_with_hours(vessel: Vessel, *, removed: bool | None = False) -> list[EngineWithHours]:
    """A vessel's engines with their last hours, in two queries; ``removed`` None gives those removed as well."""
    engines = list(vessel.engines.select_related("family"))
    if removed is not None:
        engines = [engine for engine in engines if (engine.removed_on is not None) is removed]
    order = [position for position, _ in Engine.POSITIONS]
    engines.sort(key=lambda engine: (order.index(engine.position), engine.pk))
    last = hours_by_engine(engines)
    return [EngineWithHours(engine, last.get(engine.pk)) for engine in engines]


def owners_of(vessel: Vessel) -> QuerySet[Ownership]:
    """Who owned a vessel, the present owner first."""
    return vessel.ownerships.select_related("customer").order_by("-since", "-pk")


def boat_names() -> list[str]:
    """The name of every boat, for those who must not use one as a password."""
    return list(Vessel.objects.exclude(name="").order_by().values_list("name", flat=True).distinct())
