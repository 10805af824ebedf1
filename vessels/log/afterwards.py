"""What was written afterwards about an entry: who voided or replaced it, and the notes that say what is right.

One question, in SQL for hand-written ones (``AFTERWARDS``) and as a column for querysets (``afterwards``); both give
an ``Afterwards``. A note that was itself voided corrects nothing, and nor do the notes about that note.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from django.db.models import F, Func, TextField

from vessels.log.evidence import NOTE, RETRACTION
from vessels.models import LogEntry
from vessels.wording import day_words

_AFTERWARDS = """(
    WITH RECURSIVE told AS (
        SELECT later.id, later.amends_id, later.kind, later.author_id, later.recorded_at, later.text, later.position
        FROM vessels_logentry later WHERE later.amends_id = {entry}
        UNION ALL
        SELECT later.id, later.amends_id, later.kind, later.author_id, later.recorded_at, later.text, later.position
        FROM told JOIN vessels_logentry later ON later.amends_id = told.id
        WHERE told.kind = 'note' AND later.kind = 'note'
    )
    SELECT json_agg(json_build_object(
        'pk', told.id, 'amends', told.amends_id, 'kind', told.kind, 'by', author.name, 'at', told.recorded_at,
        'text', told.text, 'voided',
        EXISTS (SELECT FROM vessels_logentry taken WHERE taken.amends_id = told.id AND taken.kind = 'retraction')
    ) ORDER BY told.position)::text
    FROM told JOIN staff_person author ON author.id = told.author_id
)"""
AFTERWARDS = _AFTERWARDS.format(entry="entry.id")
"""For hand-written questions: what ``afterwards_of`` reads about ``entry``; null where nothing was written."""
THAT_WAS_VOIDED = "(that correction was voided)"


def afterwards_sql(entry: str) -> str:
    """The same about another entry than ``entry``; ``entry`` is its key as the question has it."""
    return _AFTERWARDS.format(entry=entry)


@dataclass(frozen=True, slots=True)
class Later:
    """One entry that voids, replaces or corrects another."""

    pk: UUID
    kind: str
    by: str
    at: datetime
    text: str
    is_void: bool
    """Whether it was itself voided."""

    @property
    def done(self) -> str:
        """What it did to the other, in a word."""
        return "voided" if self.kind == RETRACTION else "corrected"

    @property
    def who_and_when(self) -> str:
        """By whom it was written, and on which day."""
        return f"by {self.by}, {day_words(self.at)}"

    @property
    def words(self) -> str:
        """Who did what, and when: "corrected by Pim Asher, Nov 28, 2026 (that correction was voided)"."""
        void = f" {THAT_WAS_VOIDED}" if self.is_void else ""
        return f"{self.done} {self.who_and_when}{void}"


@dataclass(frozen=True, slots=True)
class Afterwards:
    """What was written about one entry later: what made it count no more, and the notes that correct its words.

    Of several corrections all but the last were voided; ``replaced`` is the last one.
    """

    replaced: Later | None = None
    notes: Sequence[Later] = ()

    @property
    def can_be_corrected(self) -> bool:
        """Whether another entry may take its place: nothing did, or what did was itself voided."""
        return self.replaced is None or (self.replaced.kind != RETRACTION and self.replaced.is_void)

    @property
    def words(self) -> str:
        """What became of an entry that counts no more, who did it and when; empty where it counts."""
        return f"{self.replaced.words}: no longer counts" if self.replaced else ""


NOTHING_AFTERWARDS = Afterwards()


def afterwards_of(told: str | None) -> Afterwards:
    """What the question found."""
    if not told:
        return NOTHING_AFTERWARDS
    replaced: Later | None = None
    notes: dict[UUID, Later] = {}
    void: set[UUID] = set()
    for row in json.loads(told):
        one = Later(
            UUID(row["pk"]), row["kind"], row["by"], datetime.fromisoformat(row["at"]), row["text"], row["voided"]
        )
        if one.kind != NOTE:
            replaced = one
        elif one.is_void or UUID(row["amends"]) in void:
            void.add(one.pk)
        else:
            notes[one.pk] = one
    return Afterwards(replaced, tuple(notes.values()))


class _Afterwards(TextField):  # type: ignore[type-arg]
    """The column as what it means."""

    def from_db_value(self, value: str | None, *_: Any) -> Afterwards:
        return afterwards_of(value)


def afterwards(entry: str) -> Func:
    """A column of a queryset: what was written about an entry later; ``entry`` is the way to its key."""
    return Func(F(entry), template=_AFTERWARDS.format(entry="%(expressions)s"), output_field=_Afterwards())


def afterwards_of_entry(entry: LogEntry) -> Afterwards:
    """What was written about one entry later: one question."""
    found: Afterwards | None = LogEntry.objects.filter(pk=entry.pk).values_list(afterwards("pk"), flat=True).first()
    return found or NOTHING_AFTERWARDS
