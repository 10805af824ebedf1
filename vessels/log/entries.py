"""Entries as pages show them: what stands in an entry and beside it, in three queries however many there are."""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Any, NamedTuple
from uuid import UUID

from vessels.log.evidence import RETRACTION, replaces
from vessels.log.registry import LogKind, jobs_select, kind_of
from vessels.models import Engine, Vessel
from vessels.models.hulls import engine_words
from vessels.wording import delay_words
from web.rows import rows

LATE_AFTER = 900
"""Seconds after which an entry counts as written down later."""


class Entry(NamedTuple):
    """An entry with the names that stand beside it."""

    pk: UUID
    kind: str
    happened_at: datetime
    recorded_at: datetime
    engine_hours: Decimal | None
    summary: str
    text: str
    position: int
    amends_id: UUID | None
    author: str
    job_number: int | None
    engine_position: str | None
    engine_maker: str
    engine_model: str

    @property
    def engine(self) -> str:
        """What the engine is called; nothing where the entry is of none."""
        if self.engine_position is None:
            return ""
        return engine_words(self.engine_position, self.engine_maker, self.engine_model)


NEWEST_FIRST = "entry.happened_at DESC, entry.position DESC"
OLDEST_FIRST = "entry.happened_at, entry.position"
_ENTRIES = """
    SELECT entry.id AS pk, entry.kind, entry.happened_at, entry.recorded_at, entry.engine_hours, entry.summary,
           entry.text, entry.position, entry.amends_id, author.name AS author, job.number AS job_number,
           engine.position AS engine_position, engine.maker AS engine_maker, engine.model AS engine_model
    FROM vessels_logentry entry
    JOIN staff_person author ON author.id = entry.author_id
    LEFT JOIN ({jobs}) job ON job.id = entry.job_id
    LEFT JOIN vessels_engine engine ON engine.id = entry.engine_id
    WHERE {where} ORDER BY {order} LIMIT {most}
"""


@dataclass(frozen=True)
class EntryFilter:
    """Which entries: conditions on ``entry`` that the program wrote, and the values that they name."""

    conditions: tuple[str, ...]
    asked: Mapping[str, Any]

    def where(self, condition: str, **asked: Any) -> EntryFilter:
        """Those of them that fit one condition more."""
        return EntryFilter((*self.conditions, condition), {**self.asked, **asked})


def of_vessel(vessel: Vessel) -> EntryFilter:
    """The log of a vessel."""
    return EntryFilter(("entry.vessel_id = %(vessel)s",), {"vessel": vessel.pk})


def telling_hours(engine: Engine) -> EntryFilter:
    """Entries that tell the hours of an engine, and those about its meter."""
    about = "entry.engine_id = %(engine)s AND (entry.engine_hours IS NOT NULL OR entry.kind = 'meter-replaced')"
    return EntryFilter((about,), {"engine": engine.pk})


def of_job(key: int) -> EntryFilter:
    """What was logged on a job."""
    return EntryFilter(("entry.job_id = %(of_job)s",), {"of_job": key})


def single_entry(key: UUID) -> EntryFilter:
    """One entry."""
    return EntryFilter(("entry.id = %(key)s",), {"key": key})


def read_entries(which: EntryFilter, *, most: int, order: str = NEWEST_FIRST) -> list[Entry]:
    """The entries themselves."""
    where = " AND ".join(which.conditions)
    return rows(Entry, _ENTRIES.format(where=where, order=order, most=int(most), jobs=jobs_select()), which.asked)


class RelatedEntry(NamedTuple):
    """An entry that amends one on the page, or that one on the page amends."""

    pk: UUID
    amends_id: UUID | None
    kind: str
    happened_at: datetime
    recorded_at: datetime
    summary: str
    text: str
    author: str
    is_void: bool


_RELATED = """
    SELECT entry.id AS pk, entry.amends_id, entry.kind, entry.happened_at, entry.recorded_at, entry.summary,
           entry.text, author.name AS author,
           EXISTS (SELECT FROM vessels_logentry taken WHERE taken.amends_id = entry.id AND taken.kind = 'retraction')
               AS is_void
    FROM vessels_logentry entry JOIN staff_person author ON author.id = entry.author_id
    WHERE entry.amends_id = ANY(%(keys)s) OR entry.id = ANY(%(amended)s)
    ORDER BY entry.position
"""


@dataclass(frozen=True, slots=True)
class ShownEntry:
    """An entry with its kind, what its kind adds, what it amends, and what was added to it later."""

    entry: Entry
    kind: LogKind
    detail: Any
    amended: RelatedEntry | None
    amendments: Sequence[RelatedEntry]

    @property
    def is_voided(self) -> bool:
        """Whether a later entry voided it."""
        return any(later.kind == RETRACTION for later in self.amendments)

    @property
    def is_replaced(self) -> bool:
        """Whether a later entry of its own kind stands in its place."""
        return bool(self._replacements)

    @property
    def counts(self) -> bool:
        """Whether it still counts: neither voided nor replaced."""
        return not any(replaces(later.kind, self.entry.kind) for later in self.amendments)

    @property
    def is_left_without(self) -> bool:
        """Whether what stood in its place was itself voided: neither of the two counts."""
        return self.is_replaced and not self.is_voided and all(later.is_void for later in self._replacements)

    @property
    def _replacements(self) -> list[RelatedEntry]:
        kind = self.entry.kind
        return [later for later in self.amendments if later.kind != RETRACTION and replaces(later.kind, kind)]

    @property
    def takes_the_place_of(self) -> RelatedEntry | None:
        """What counts no more because of it, and will not count again where it is voided; a note takes nothing away."""
        amended = self.amended
        if amended is None or self.entry.kind == RETRACTION or not replaces(self.entry.kind, amended.kind):
            return None
        return amended

    @property
    def hours_from(self) -> str:
        """What the entry was read from, beyond what its kind says: "from a CAN log"; else nothing."""
        tell = self.kind.hours_from
        return tell(self.detail) if tell is not None and self.detail is not None else ""

    @property
    def late(self) -> str:
        """How much later it was written down, or nothing."""
        happened, recorded = self.entry.happened_at, self.entry.recorded_at
        return delay_words(happened, recorded) if (recorded - happened).total_seconds() > LATE_AFTER else ""


def with_details(entries: Sequence[Entry]) -> list[ShownEntry]:
    """Entries with what their kinds add, and with what amends them or what they amend."""
    if not entries:
        return []
    keys = [entry.pk for entry in entries]
    amended = {entry.amends_id for entry in entries if entry.amends_id is not None}
    related = rows(RelatedEntry, _RELATED, {"keys": keys, "amended": list(amended)})
    by_key = {other.pk: other for other in related if other.pk in amended}
    later: dict[UUID, list[RelatedEntry]] = defaultdict(list)
    for other in related:
        if other.amends_id is not None:
            later[other.amends_id].append(other)
    details = _details(entries)
    return [
        ShownEntry(
            entry,
            kind_of(entry.kind),
            details.get(entry.pk),
            by_key.get(entry.amends_id) if entry.amends_id else None,
            later.get(entry.pk, ()),
        )
        for entry in entries
    ]


def shown_entries(which: EntryFilter, *, most: int) -> list[ShownEntry]:
    """The newest of the entries, with all that a page shows of them."""
    return with_details(read_entries(which, most=most))


def _details(entries: Sequence[Entry]) -> dict[UUID, Any]:
    """What the kinds add: of those that give facts, in one query; a query and its prefetches for each other kind."""
    by_kind: dict[str, list[UUID]] = defaultdict(list)
    for entry in entries:
        by_kind[entry.kind].append(entry.pk)
    found: dict[UUID, Any] = {}
    questions: dict[str, None] = {}
    asked: list[UUID] = []
    for slug, keys in sorted(by_kind.items()):
        kind = kind_of(slug)
        if kind.facts:
            questions[kind.facts] = None
            asked += keys
        else:
            found |= _rows_of(kind, keys)
    if questions:
        found |= dict(rows(_facts, " UNION ALL ".join(questions), {"keys": asked}))
    return found


def _facts(*, entry_id: UUID, facts: str) -> tuple[UUID, dict[str, Any]]:
    """A row of facts. Figures come as they were stored, to the last zero."""
    return entry_id, json.loads(facts, parse_float=Decimal)


def _rows_of(kind: LogKind, keys: Iterable[UUID]) -> dict[UUID, Any]:
    model = kind.detail_model()
    if model is None or not kind.template:
        return {}
    details = model._default_manager.select_related(*kind.select) if kind.select else model._default_manager.all()
    return {row.pk: row for row in details.filter(pk__in=keys).prefetch_related(*kind.prefetch)}
