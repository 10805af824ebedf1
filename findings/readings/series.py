"""The readings of a vessel as series, one parameter of one engine under one condition each: page by page."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db.models import Count, F, Q, QuerySet, Value, Window
from django.db.models.functions import Coalesce, Lower, RowNumber

from findings.readings.changes import changes_between, with_changes
from findings.readings.models import Parameter, Reading
from findings.readings.queries import ReadingRow, add_marks, effective_readings, every_reading, reading_row
from vessels.models import Engine, Vessel
from web.typed import moment_of, whole_number

SERIES_A_PAGE = 40
READINGS_A_PAGE = 50
_ORDER = ("engine_key", "parameter__position", "parameter__name", "parameter_id", "folded")


@dataclass(frozen=True)
class Series:
    """One parameter of one engine under one condition: the latest reading, the one before, and how many there are."""

    engine: Engine | None
    parameter: Parameter
    condition: str
    latest: ReadingRow
    before: ReadingRow | None
    count: int

    @property
    def changes(self) -> list[str]:
        """What is different about the latest reading beside its value."""
        return changes_between(self.latest.reading, self.before.reading) if self.before else []


@dataclass(frozen=True)
class SeriesPage:
    """Some series of a vessel in order. ``after`` is the place that the next page begins at; empty on the last one."""

    series: Sequence[Series]
    after: str


def series_page(vessel: Vessel, after: str = "", *, size: int = SERIES_A_PAGE) -> SeriesPage:
    """One page of the series of a vessel, by engine, parameter and condition: three queries, three rows a series."""
    found = _keyed(effective_readings().filter(entry__vessel=vessel))
    groups = found.order_by().values(*_ORDER).annotate(count=Count("pk")).order_by(*_ORDER)
    if (place := _place_of(after)) is not None:
        groups = groups.filter(_later_than(place))
    keys = list(groups[: size + 1])
    shown, more = keys[:size], len(keys) > size
    latest = _latest_two(found, shown)
    add_marks([members[0] for members in latest.values()])
    return SeriesPage(
        series=[_series(key, latest[_name(key)]) for key in shown],
        after=_mark(shown[-1]) if more else "",
    )


def _keyed(readings: QuerySet[Reading]) -> QuerySet[Reading]:
    return readings.annotate(engine_key=Coalesce("entry__engine_id", Value(0)), folded=Lower("condition"))


def _name(key: Mapping[str, Any]) -> tuple[int, int, str]:
    return key["engine_key"], key["parameter_id"], key["folded"]


def _latest_two(
    found: QuerySet[Reading], keys: Sequence[Mapping[str, Any]]
) -> dict[tuple[int, int, str], list[Reading]]:
    """The latest reading of each of these series and the one before it, newest first."""
    if not keys:
        return {}
    wanted = Q()
    for engine, parameter, condition in map(_name, keys):
        wanted |= Q(engine_key=engine, parameter_id=parameter, folded=condition)
    place = Window(
        RowNumber(),
        partition_by=[F("engine_key"), F("parameter_id"), F("folded")],
        order_by=["-entry__happened_at", "-entry__position"],
    )
    rows = found.filter(wanted).annotate(place=place).filter(place__lte=2).order_by("place")
    together: dict[tuple[int, int, str], list[Reading]] = defaultdict(list)
    for row in rows:
        together[row.entry.engine_id or 0, row.parameter_id, row.folded].append(row)  # type: ignore[attr-defined]
    return together


def _series(key: Mapping[str, Any], members: Sequence[Reading]) -> Series:
    return Series(
        engine=members[0].entry.engine,
        parameter=members[0].parameter,
        condition=members[0].condition,
        latest=reading_row(members[0]),
        before=reading_row(members[1]) if len(members) > 1 else None,
        count=key["count"],
    )


def _mark(key: Mapping[str, Any]) -> str:
    return f"{key['engine_key']}_{key['parameter_id']}_{key['folded']}"


def _place_of(mark: str) -> dict[str, Any] | None:
    """The place that a page begins after; one that makes no sense is the beginning."""
    engine, _, rest = mark.partition("_")
    number, _, folded = rest.partition("_")
    engine_key, parameter_id = whole_number(engine), whole_number(number)
    parameter = Parameter.objects.filter(pk=parameter_id).first() if parameter_id is not None else None
    if engine_key is None or parameter is None or "\0" in folded:
        return None
    return dict(zip(_ORDER, (engine_key, parameter.position, parameter.name, parameter.pk, folded), strict=True))


def _later_than(place: Mapping[str, Any]) -> Q:
    """Series behind a place, in the order of the pages."""
    later, same = Q(), Q()
    for name in _ORDER:
        later |= same & Q(**{f"{name}__gt": place[name]})
        same &= Q(**{name: place[name]})
    return later


def series(
    vessel: Vessel, engine_id: int | None, parameter: Parameter, condition: str | None, *, all_of_them: bool = False
) -> QuerySet[Reading]:
    """The readings of one parameter of one engine, newest first: those that count, or all of them with their marks."""
    found = every_reading() if all_of_them else effective_readings()
    found = found.filter(entry__vessel=vessel, parameter=parameter)
    found = found.filter(entry__engine=engine_id) if engine_id else found.filter(entry__engine=None)
    if condition is not None:
        found = found.filter(condition__iexact=condition)
    return found.order_by("-entry__happened_at", "-entry__position")


@dataclass(frozen=True)
class ReadingsPage:
    """Some readings of a series, newest first, each with what changed since the one before it.

    ``older`` is the place that the next page begins at; empty on the last one.
    """

    readings: Sequence[Reading]
    changes: Sequence[Sequence[str]]
    older: str


def readings_page(found: QuerySet[Reading], before: str, *, size: int = READINGS_A_PAGE) -> ReadingsPage:
    """The readings of a series before a place."""
    if (place := _moment_and_position(before)) is not None:
        at, position = place
        found = found.filter(Q(entry__happened_at__lt=at) | Q(entry__happened_at=at, entry__position__lt=position))
    rows = list(found[: size + 1])
    last = rows[size - 1].entry if len(rows) > size else None
    return ReadingsPage(
        readings=rows[:size],
        changes=with_changes(rows)[:size],
        older=f"{last.happened_at.isoformat()}_{last.position}" if last else "",
    )


def _moment_and_position(mark: str) -> tuple[datetime, int] | None:
    """A place in a series; one that makes no sense is the newest."""
    moment, _, number = mark.partition("_")
    at, position = moment_of(moment), whole_number(number, digits=9)
    return None if at is None or position is None else (at, position)
