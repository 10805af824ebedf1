"""The lists of vessels and customers, a page at a time, and the pieces of a vessel's overview."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, TypeVar, cast

from django.db.models import Count, Model, Q, QuerySet
from django.db.models.functions import Lower

from vessels.models import Customer, Engine, Ownership, Vessel
from vessels.queries.engines import hours_by_engine
from vessels.queries.finding import matching_customers, matching_vessels
from web.typed import whole_number

PAGE_SIZE = 40
M = TypeVar("M", bound=Model)


@dataclass(frozen=True)
class NamePage:
    """One page of a list by name; the cursors are the keys of its first and last row, where more lies beyond."""

    rows: list[Any]
    before: int | None
    after: int | None


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


def name_page(rows: QuerySet[M], *, after: str, before: str, size: int = PAGE_SIZE) -> NamePage:
    """A page of rows that have a name, by name. The cursors are keys of rows."""
    low = Lower("name")
    rows = cast("QuerySet[M]", rows.annotate(low=low))
    start = _place(rows.model, after)
    if start is not None:
        found = list(rows.filter(low__gte=start[0]).filter(_beyond(start)).order_by(low, "pk")[: size + 1])
        return _cut(found, size, has_before=True)
    end = _place(rows.model, before)
    if end is not None:
        found = list(rows.filter(low__lte=end[0]).filter(_short_of(end)).order_by(low.desc(), "-pk")[: size + 1])
        if len(found) > size:
            page = found[:size][::-1]
            return NamePage(page, page[0].pk, page[-1].pk)
    return _cut(list(rows.order_by(low, "pk")[: size + 1]), size, has_before=False)


def _cut(found: list[Any], size: int, *, has_before: bool) -> NamePage:
    page = found[:size]
    return NamePage(page, page[0].pk if has_before and page else None, page[-1].pk if len(found) > size else None)


def _place(model: type[Model], key: str) -> tuple[str, int] | None:
    pk = whole_number(key)
    if pk is None:
        return None
    name = model._default_manager.filter(pk=pk).annotate(low=Lower("name")).values_list("low", flat=True).first()
    return None if name is None else (name, pk)


def _beyond(place: tuple[str, int]) -> Q:
    return Q(low__gt=place[0]) | Q(pk__gt=place[1])


def _short_of(place: tuple[str, int]) -> Q:
    return Q(low__lt=place[0]) | Q(pk__lt=place[1])


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
