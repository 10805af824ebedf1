"""What pages ask about faults, each in a fixed number of queries however many there are."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from decimal import Decimal
from functools import cached_property
from typing import Any

from django.db.models import Count, Exists, OuterRef, Prefetch, Q, QuerySet
from django.db.models.functions import TruncDate
from django.http import HttpRequest
from django.utils import timezone

from engineering.codes import Code, CodeSystem, Explanation, explain, likeness
from engineering.faults import Episode as ReplayedEpisode
from engineering.faults import FaultHistory, FaultState, explain_state
from findings.faults.history import history_from_json
from findings.faults.models import Episode, Fault, WorkOnFault
from findings.faults.wording import ENDED, Now, last_time, length_words
from vessels.log.afterwards import Afterwards, Later, afterwards
from vessels.log.evidence import superseded
from vessels.models import ControlUnit, Engine, LogEntry, Vessel
from vessels.queries import hours_by_key
from web.rows import record, rows

MOST_ON_OVERVIEW = 8
OPEN_FAULTS = (
    "SELECT count(*) FROM faults_fault JOIN vessels_controlunit unit ON unit.id = unit_id "
    "WHERE faults_fault.vessel_id = %(vessel)s AND is_open AND unit.removed_on IS NULL"
)
"""How many faults of a vessel are open, for the tab: what a unit had when it was removed is not open on the boat."""
APPEARANCES = Prefetch(
    "appearances",
    Episode.objects.select_related("opening__job", "closing__job", "closing__author", "work__entry__job")
    .annotate(work_afterwards=afterwards("work_id"), closing_afterwards=afterwards("closing_id"))
    .order_by("number"),
)
LAST_WORK = Prefetch(
    "work",
    WorkOnFault.objects.filter(~superseded("work_id"))
    .select_related("work__entry__job")
    .annotate(later=afterwards("work_id"))
    .order_by("fault_id", "-work__entry__happened_at", "-work__entry__position")
    .distinct("fault_id"),
    to_attr="last_works",
)
AS_SEEN = (APPEARANCES, LAST_WORK)
"""What ``FaultSeen`` needs prefetched."""


_NEVER = datetime.min.replace(tzinfo=UTC)


def _notes(row: Episode | WorkOnFault, column: str) -> Sequence[Later]:
    told: Afterwards = getattr(row, column)
    return told.notes


def returns_among(episodes: QuerySet[Episode]) -> QuerySet[Episode]:
    """Those of the episodes that are returns: what was back on the job that had ended it was not fixed yet."""
    ended = Episode.objects.filter(fault=OuterRef("fault"), number=OuterRef("number") - 1, outcome="returned")
    return episodes.filter(Exists(ended), number__gt=1)


@dataclass(frozen=True)
class EpisodeSeen:
    """One episode with the entries that began and ended it."""

    row: Episode
    replayed: ReplayedEpisode

    @property
    def work_notes(self) -> Sequence[Later]:
        """The notes that correct what is written of its work."""
        return _notes(self.row, "work_afterwards")

    @property
    def closing_notes(self) -> Sequence[Later]:
        """The notes that correct what is written of what ended it."""
        return _notes(self.row, "closing_afterwards")

    @property
    def gap(self) -> str:
        """How long the fault had been away before it."""
        return length_words(self.row.gap_hours, self.row.gap_days)

    @property
    def after(self) -> str:
        """How long after its end its outcome is known."""
        return length_words(self.row.outcome_hours, self.row.outcome_days)

    @property
    def ended(self) -> str:
        """How it ended, in words."""
        return ENDED.get(self.replayed.closed_by or "", ENDED[""])


@dataclass(frozen=True)
class FaultSeen:
    """A fault as pages show it. Needs ``AS_SEEN`` prefetched, unit and engine selected."""

    fault: Fault

    @cached_property
    def history(self) -> FaultHistory:
        """The replay's answer, as stored."""
        return history_from_json(self.fault.history)

    @cached_property
    def sentence(self) -> str:
        """Where the fault stands and why."""
        return explain_state(self.history, timezone.get_current_timezone())

    @cached_property
    def meaning(self) -> Explanation:
        """What the code means by itself."""
        return explain(self.fault.as_code)

    @cached_property
    def episodes(self) -> list[EpisodeSeen]:
        """Every episode, the first one first."""
        known = {row.number: row for row in self.fault.appearances.all()}
        return [EpisodeSeen(known[one.number], one) for one in self.history.episodes if one.number in known]

    @property
    def is_seen_after_removal(self) -> bool:
        """Whether it was seen on a day after the one on which its unit is said to have been removed. Needs the unit."""
        removed_on, seen_at = self.fault.unit.removed_on, self.history.last_seen_at
        return removed_on is not None and seen_at is not None and timezone.localdate(seen_at) > removed_on

    @property
    def is_not_fixed_yet(self) -> bool:
        """Whether it was back on the very job that had ended it."""
        return self.fault.state == FaultState.NOT_FIXED_YET

    @property
    def is_back(self) -> bool:
        """Whether it is there again after it had ended: returned, or not fixed yet."""
        return self.fault.state == FaultState.RETURNED or self.is_not_fixed_yet

    @property
    def gaps(self) -> list[str]:
        """The longest that it can have been away before each return, oldest first."""
        lengths = [self.history.longest_away(index) for index in range(len(self.history.episodes))]
        returns = zip(self.history.episodes, lengths, strict=True)
        return [length_words(one.hours, one.days) for back, one in returns if one and not back.not_fixed_yet]

    @property
    def _last_worked(self) -> WorkOnFault | None:
        found: Sequence[WorkOnFault] = self.fault.last_works  # type: ignore[attr-defined]  # prefetched
        return found[0] if found else None

    @property
    def last_work(self) -> LogEntry | None:
        """The last work about it on record, also where it was gone by then. A clear is no work."""
        return self._last_worked.work.entry if self._last_worked else None

    @property
    def last_work_notes(self) -> Sequence[Later]:
        """The notes that correct what is written of the last work."""
        return _notes(self._last_worked, "later") if self._last_worked else ()

    @cached_property
    def _last_cleared(self) -> EpisodeSeen | None:
        cleared = [one for one in self.episodes if one.row.closing and one.replayed.closed_by == "clear"]
        return max(cleared, key=lambda one: one.row.closing.happened_at if one.row.closing else _NEVER, default=None)

    @property
    def last_clear(self) -> LogEntry | None:
        """The last clear that ended an episode of it."""
        return self._last_cleared.row.closing if self._last_cleared else None

    @property
    def last_clear_notes(self) -> Sequence[Later]:
        """The notes that correct what is written of the last clear."""
        return self._last_cleared.closing_notes if self._last_cleared else ()

    def last_time(self, now: Now) -> str:
        """What happened the last time, with the job it happened on."""
        last = self.episodes[-1].row if self.episodes else None
        entry = (last.closing or last.opening) if last else None
        return last_time(self.history, now, job_number=entry.job.number if entry and entry.job else None)


def known_faults() -> QuerySet[Fault]:
    """Faults that some evidence in force tells of, with all that pages show of them: three queries."""
    return (
        Fault.objects.exclude(state="none")
        .select_related("unit__engine", "engine", "vessel")
        .prefetch_related(*AS_SEEN)
    )


def faults_of_vessel(vessel: Vessel, *, engine_id: int | None = None, only_open: bool = False) -> list[FaultSeen]:
    """The faults of a vessel, open ones first, the latest seen first."""
    found = known_faults().filter(vessel=vessel)
    if engine_id is not None:
        found = found.filter(engine_id=engine_id)
    if only_open:
        found = found.filter(is_open=True, unit__removed_on=None)
    return [FaultSeen(fault) for fault in found]


def faults_of_unit(unit: ControlUnit) -> list[FaultSeen]:
    """The faults that a unit has had, open ones first."""
    return [FaultSeen(fault) for fault in known_faults().filter(unit=unit)]


@dataclass(frozen=True)
class OpenFaults:
    """The open faults of a vessel for its overview: the first of them, and how many more there are."""

    vessel: Vessel
    faults: Sequence[FaultSeen]
    left_out: int
    known: int
    removed: int
    """Those that were open when their unit was removed."""
    seen_since: int
    """Those that entries of a later day tell of: by those the unit was aboard still."""


def open_faults_section(_request: HttpRequest, vessel: Vessel) -> OpenFaults | None:
    """The section on a vessel's overview; None for a vessel without faults on record."""
    counts = (
        Fault.objects.filter(vessel=vessel)
        .exclude(state="none")
        .aggregate(
            known=Count("pk"),
            open=Count("pk", filter=Q(is_open=True, unit__removed_on=None)),
            removed=Count("pk", filter=Q(is_open=True, unit__removed_on__gte=TruncDate("last_seen_at"))),
            seen_since=Count("pk", filter=Q(is_open=True, unit__removed_on__lt=TruncDate("last_seen_at"))),
        )
    )
    if not counts["known"]:
        return None
    found = known_faults().filter(vessel=vessel, is_open=True, unit__removed_on=None)
    shown = [FaultSeen(fault) for fault in found[:MOST_ON_OVERVIEW]]
    return OpenFaults(
        vessel, shown, counts["open"] - len(shown), counts["known"], counts["removed"], counts["seen_since"]
    )


def latest_hours_by_engine(engine_ids: Iterable[int]) -> dict[int, Decimal]:
    """The last hours known of each engine."""
    return {key: known.engine_hours for key, known in hours_by_key(engine_ids).items()}


def now_of(unit: ControlUnit) -> Now:
    """From where one looks back on a unit: now, with the engine's latest hours."""
    known = hours_by_key([unit.engine_id]).get(unit.engine_id) if unit.engine_id is not None else None
    local = timezone.localtime()
    return Now(local, known.engine_hours, known.happened_at) if known else Now(local, None)


def codes_beside(fault: Fault) -> list[Code]:
    """The codes of its kind on record for the same unit; without a query where a code is told in one way only."""
    if not likeness(fault.as_code):
        return []
    known = Fault.objects.filter(unit_id=fault.unit_id, system=fault.system).exclude(state="none")
    return [Code(CodeSystem(fault.system), text) for text in known.values_list("code", flat=True)]


def on_other_units(fault: Fault) -> str:
    """That other units of its engine, such as the one before it, had the same code too; else nothing. One query."""
    if fault.engine_id is None:
        return ""
    asked = {"engine": fault.engine_id, "system": fault.system, "code": fault.code, "fault": fault.pk}
    return other_units_words([str(unit) for unit in rows(_unit, _OTHER_UNITS, asked)])


_OTHER_UNITS = """
    SELECT unit.id, unit.name, unit.removed_on, unit.engine_id, engine.position AS engine_position
    FROM faults_fault fault JOIN vessels_controlunit unit ON unit.id = fault.unit_id
    LEFT JOIN vessels_engine engine ON engine.id = unit.engine_id
    WHERE fault.engine_id = %(engine)s AND fault.system = %(system)s AND fault.code = %(code)s
          AND fault.state <> 'none' AND fault.id <> %(fault)s
    ORDER BY fault.unit_id
"""


def _unit(**row: Any) -> ControlUnit:
    unit = record(ControlUnit, row, "id", "name", "removed_on", "engine_id")
    is_on_one = row["engine_id"] is not None
    unit.engine = record(Engine, row, "id", "position", prefix="engine_") if is_on_one else None
    return unit


def other_units_words(names: Sequence[str]) -> str:
    """The sentence for those units: what a code did there is no part of this history."""
    if not names:
        return ""
    return f"The same code is on record of {' and '.join(names)} as well, with a history of its own."


def unit_choices(vessel: Vessel) -> Sequence[ControlUnit]:
    """The units that a vessel has now, engine by engine."""
    return list(vessel.units.filter(removed_on=None).select_related("engine").order_by("engine_id", "pk"))
