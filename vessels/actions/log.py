"""Notes, corrections and entries voided."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from datetime import datetime
from decimal import Decimal
from typing import Any

from commands.envelope import command
from commands.refusals import Refused
from staff.models import Person
from staff.policy import Permission
from vessels.hours import refuse_impossible_hours
from vessels.log.belonging import refuse_what_no_longer_counts
from vessels.log.chain import JobKey, NewEntry, append
from vessels.log.evidence import NOTE, RETRACTION
from vessels.log.registry import kind_of, needed_to_void
from vessels.models import Engine, LogEntry, Vessel
from vessels.wording import known_as


@command("write_note", needs=Permission.WRITE_NOTES, writes_to="vessel")
def write_note(
    *,
    by: Person,
    vessel: Vessel,
    text: str,
    engine: Engine | None = None,
    job_id: JobKey | None = None,
    engine_hours: Decimal | None = None,
    entry_id: uuid.UUID | None = None,
    happened_at: datetime | None = None,
) -> LogEntry:
    """Write a note in a vessel's log."""
    _require_text(text, "Enter the note.")
    refuse_impossible_hours(engine, engine_hours, happened_at)
    return append(
        NewEntry(
            kind="note",
            vessel=vessel,
            author=by,
            engine=engine,
            job_id=job_id,
            engine_hours=engine_hours,
            summary=f"Note on {engine}" if engine else "Note",
            text=text,
            id=entry_id,
            happened_at=happened_at,
        )
    )


@command("amend_text", needs=Permission.WRITE_NOTES, writes_to="entry.vessel")
def amend_text(
    *,
    by: Person,
    entry: LogEntry,
    text: str,
    entry_id: uuid.UUID | None = None,
    happened_at: datetime | None = None,
) -> LogEntry:
    """Add a note that corrects an entry. The entry stays as it is, and stays evidence."""
    _require_text(text, "Enter the correction: say what is right.")
    return append(
        NewEntry(
            kind="note",
            vessel=entry.vessel,
            author=by,
            engine=entry.engine,
            job_id=entry.job_id,
            summary=f"Correction to “{known_as(entry)}”",
            text=text,
            amends=entry,
            id=entry_id,
            happened_at=happened_at,
        )
    )


def _to_take_back(given: Mapping[str, Any]) -> Permission:
    return needed_to_void(given["by"], given["entry"])


@command("retract", needs=_to_take_back, writes_to="entry.vessel")
def retract(
    *,
    by: Person,
    entry: LogEntry,
    reason: str,
    entry_id: uuid.UUID | None = None,
    happened_at: datetime | None = None,
) -> LogEntry:
    """Void an entry as evidence. It stays visible, struck through, with the reason beside it.

    Raises:
        Refused: the entry records a change of the records, or was voided or replaced before.
    """
    kind = kind_of(entry.kind)
    if entry.kind == RETRACTION:
        raise Refused("A voided entry stays voided. Log the right entry again.")
    if not can_be_voided(entry):
        raise Refused(
            f"“{kind.label}” records a change that voiding the entry would not undo. Change the "
            f"record again, or add a correction to the entry."
        )
    refuse_what_no_longer_counts(entry)
    _require_text(reason, "Say why the entry is voided.", field="reason")
    return append(
        NewEntry(
            kind=RETRACTION,
            vessel=entry.vessel,
            author=by,
            engine=entry.engine,
            job_id=entry.job_id,
            summary=f"Voided: {_named(entry)}",
            text=reason,
            amends=entry,
            id=entry_id,
            happened_at=happened_at,
        )
    )


def _named(entry: LogEntry) -> str:
    """A note by its first words, in quotes; anything else by its sentence."""
    return f"“{known_as(entry)}”" if entry.kind == NOTE else entry.summary


def can_be_voided(entry: LogEntry) -> bool:
    """Whether entries of this kind can be voided at all."""
    return entry.kind == NOTE or kind_of(entry.kind).evidence


def _require_text(text: str, sentence: str, *, field: str = "text") -> None:
    if not text.strip():
        raise Refused(sentence, fields={field: sentence})
