"""What was on the boat on a job, as at the job's end: engines, control units, names, owner, hours.

A later change of what can change in the world (a name, a propeller) is put back to what stood there then, and told as
a change. A later change of what a thing is by nature (a serial number, a HIN) is a correction, and is taken.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from decimal import Decimal, InvalidOperation
from itertools import count, groupby
from typing import Any

from django.db.models import Max, Min, Q, QuerySet
from django.utils import timezone

from findings.faults.evidence import IS_EFFECTIVE
from findings.happenings.kinds import KINDS
from vessels.identity import Identity, identity_of
from vessels.log.evidence import superseded
from vessels.models import ControlUnit, DetailsChange, Engine, LogEntry, UnitFitting, UnitIdentification, Vessel
from vessels.wording import label_of
from workorders.models import Job

FINDINGS = ("scan", "clear", "work-done", "reading", "hours", *KINDS)
MAY_CHANGE = {Vessel: ("name", "registration"), Engine: ("propeller", "gear_ratio")}


def end_of(job: Job) -> datetime | None:
    """When a job's facts end: at its closing, or its last finding where that is later; None while it is open."""
    if job.closed_at is None:
        return None
    found = LogEntry.objects.filter(~superseded("pk"), job=job, kind__in=FINDINGS)
    return max(job.closed_at, found.aggregate(last=Max("happened_at"))["last"] or job.closed_at)


@dataclass(frozen=True)
class Aboard:
    """The engines and units that were in the boat at some time of the job, and what the paper calls them."""

    job: Job
    end: datetime | None
    engines: Sequence[Engine]
    names: dict[int, str]
    taken_out: dict[int, date]
    changed_since: dict[int, tuple[str, ...]] = field(default_factory=dict)
    units: Sequence[ControlUnit] = ()
    unit_names: dict[int, str] = field(default_factory=dict)

    def by_the_end(self, entries: QuerySet[Any], at: str = "happened_at") -> QuerySet[Any]:
        """Of these rows, those that happened by the end of the job; ``at`` is their way to the time."""
        return entries if self.end is None else entries.filter(**{f"{at}__lte": self.end})

    def last_hours(self) -> dict[int, LogEntry]:
        """Of each engine the last entry by the end that says its true hours and that nobody corrected."""
        entries = self.by_the_end(LogEntry.objects.filter(~superseded("pk"), engine__in=self.names))
        known = entries.filter(engine_hours__isnull=False).order_by("engine_id", "-happened_at", "-position")
        return {entry.engine_id: entry for entry in known.distinct("engine_id") if entry.engine_id}

    def identified(self) -> dict[int, Identity]:
        """Of each unit what it last said it was by the end; no unit that was never identified."""
        said = self.by_the_end(
            UnitIdentification.objects.filter(IS_EFFECTIVE, unit__in=self.units), "entry__happened_at"
        )
        newest = said.select_related("entry").order_by("unit_id", "-entry__happened_at", "-entry__position")
        return {unit: identity_of(rows) for unit, rows in groupby(newest, key=lambda one: one.unit_id)}


def aboard(job: Job) -> Aboard:
    """What was on the boat on a job."""
    end = end_of(job)
    engines = _engines(job, end)
    day = timezone.localtime(end).date() if end else None
    out = {one.pk: one.removed_on for one in engines if one.removed_on and (day is None or one.removed_on <= day)}
    names = engine_names(engines, out)
    units = _units(job, end, names)
    return Aboard(
        job=job,
        end=end,
        engines=engines,
        names=names,
        taken_out=out,
        changed_since=_put_back_engines(job, end, engines),
        units=units,
        unit_names=unit_names(units, names, removed_by=day or date.max),
    )


def engine_names(engines: Iterable[Engine], taken_out: Iterable[int] = ()) -> dict[int, str]:
    """What each engine is called on the paper: its position, with a number where several share one."""
    gone = set(taken_out)
    return _numbered(
        (one.pk, f"{one.get_position_display()}{', removed' if one.pk in gone else ''}") for one in engines
    )


def unit_names(units: Iterable[ControlUnit], engines: dict[int, str], *, removed_by: date) -> dict[int, str]:
    """What each unit is called on the paper: its name with its engine, with a number where several share both.

    One that was taken out by that day is said to be removed, as the one in its place often has the same name.
    """
    return _numbered((one.pk, _unit_name(one, engines, removed_by)) for one in units)


def _unit_name(one: ControlUnit, engines: dict[int, str], removed_by: date) -> str:
    words = f"{one.name} ({engines[one.engine_id].lower()})" if one.engine_id in engines else one.name
    is_out = one.removed_on is not None and one.removed_on <= removed_by
    return f"{words}, removed" if is_out and not words.endswith("removed)") else words


def _numbered(called: Iterable[tuple[int, str]]) -> dict[int, str]:
    """Names that nothing else has: what is read of one unit is told by its name, and must be told of no other."""
    pairs = list(called)
    shared = Counter(name for _, name in pairs)
    own = {name for name, times in shared.items() if times == 1}
    numbers = {name: count(1) for name in shared}
    names = {}
    for key, name in pairs:
        numbered = (f"{name} {number}" for number in numbers[name])
        names[key] = name if name in own else next(one for one in numbered if one not in own)
    return names


def _engines(job: Job, end: datetime | None) -> list[Engine]:
    """Engines that were in the boat during the job, or that something of the job is about."""
    opened = timezone.localtime(job.opened_at).date()
    about = LogEntry.objects.filter(job=job, engine__isnull=False).values("engine_id")
    there = Q(removed_on=None) | Q(removed_on__gte=opened)
    candidates = (
        Engine.objects.filter(vessel_id=job.vessel_id)
        .filter(there | Q(pk__in=about) | Q(lines__job=job))
        .annotate(added_at=Min("log__happened_at", filter=Q(log__kind="engine-added")))
        .select_related("family")
        .prefetch_related("meters")
        .order_by("position", "pk")
    )
    if end is None:
        return list(candidates)
    mentioned = set(about.values_list("engine_id", flat=True))
    return [one for one in candidates if one.pk in mentioned or one.added_at is None or one.added_at <= end]


def _units(job: Job, end: datetime | None, engines: dict[int, str]) -> list[ControlUnit]:
    """Units of those engines and of the boat itself that were there during the job, or that it scanned."""
    opened = timezone.localtime(job.opened_at).date()
    scanned = Q(scans__entry__job=job) | Q(clears__entry__job=job)
    found = (
        ControlUnit.objects.filter(vessel_id=job.vessel_id)
        .filter(Q(removed_on=None) | Q(removed_on__gte=opened) | scanned)
        .distinct()
    )
    units = [one for one in found if one.engine_id is None or one.engine_id in engines]
    if end is None:
        return units
    late = set(
        UnitFitting.objects.filter(unit__in=units, entry__kind="unit-added", entry__happened_at__gt=end).values_list(
            "unit_id", flat=True
        )
    )
    kept = set(ControlUnit.objects.filter(scanned, pk__in=late).values_list("pk", flat=True)) if late else set()
    return [one for one in units if one.pk not in late - kept]


def _later_changes(job: Job, end: datetime | None) -> list[DetailsChange]:
    if end is None:
        return []
    later = DetailsChange.objects.filter(entry__vessel_id=job.vessel_id, entry__happened_at__gt=end)
    return list(later.select_related("entry").order_by("entry__happened_at", "entry__position"))


def _put_back_engines(job: Job, end: datetime | None, engines: Sequence[Engine]) -> dict[int, tuple[str, ...]]:
    later = _later_changes(job, end)
    return {one.pk: _put_back(one, [row for row in later if row.entry.engine_id == one.pk]) for one in engines}


def put_back_vessel(vessel: Vessel, job: Job, end: datetime | None) -> tuple[str, ...]:
    """Give the boat the name and registration of the job's time. Returns what the records say by now instead."""
    return _put_back(vessel, [row for row in _later_changes(job, end) if row.subject == "Vessel"])


def _put_back(record: Engine | Vessel, later: Sequence[DetailsChange]) -> tuple[str, ...]:
    """Set what may change to what stood there before the first later change. Returns what stands there today."""
    told = []
    for name in MAY_CHANGE[type(record)]:
        label = label_of(record, name)
        before = next((row.changes[label][0] for row in later if label in row.changes), None)
        now = getattr(record, name)
        if before is None or before == ("" if now is None else str(now)):
            continue
        setattr(record, name, _as_stored(now, before))
        told.append(f"{label}: “{now}” today" if now not in {None, ""} else f"{label}: not on record today")
    return tuple(told)


def _as_stored(now: Any, before: str) -> Any:
    """A value that the log keeps as text, in the type of its column."""
    if isinstance(now, str):
        return before
    try:
        return Decimal(before) if before else None
    except InvalidOperation:
        return now


def owner_at(job: Job, end: datetime | None) -> str:
    """Who owned the boat when the job ended; empty where that is not on record."""
    at = end or timezone.now()
    owned = job.vessel.ownerships.filter(Q(until=None) | Q(until__gt=at), since__lte=at).select_related("customer")
    known = owned.first()
    return known.customer.name if known else ""
