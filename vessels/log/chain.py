"""Adding to the vessel log: chained digests, client-chosen ids, one writer per vessel at a time."""

from __future__ import annotations

import uuid
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import ROUND_HALF_UP, Decimal
from typing import TYPE_CHECKING, Annotated, Any

from django.db import IntegrityError, models, transaction
from django.utils import timezone

from commands.envelope import USED_ELSEWHERE
from commands.json_forms import Key
from commands.refusals import Refused
from engineering.canonical import canonical_json, chain_digest
from vessels.log.belonging import refuse_strangers
from vessels.log.registry import kind_of, tell_amended
from vessels.models import Engine, LogEntry, Vessel

if TYPE_CHECKING:
    from staff.models import Person

GENESIS = "0" * 64
JobKey = Annotated[int, Key("workorders.job")]
"""Jobs are of a floor above: the log knows them by their keys."""
ALREADY_THERE = (
    "An entry of this form is already in the log: “{}”. Look at it, and open a new form if something is missing."
)
FUTURE_ALLOWED = timedelta(minutes=10)


@dataclass(frozen=True)
class NewEntry:
    """What an action says about the entry that it adds. ``id`` is the client's choice; None makes one."""

    kind: str
    vessel: Vessel
    author: Person
    summary: str
    happened_at: datetime | None = None
    id: uuid.UUID | None = None
    engine: Engine | None = None
    job_id: int | None = None
    engine_hours: Decimal | None = None
    text: str = ""
    amends: LogEntry | None = None


def lock_log(vessel: Vessel, *, entry_id: uuid.UUID | None, kind: str) -> LogEntry | None:
    """Take the vessel's turn to write, and find whether this entry was recorded before.

    Call first in every action that logs, inside its transaction. Returns the entry that an earlier sending of the
    same form made; the action then answers with it and writes nothing.

    Raises:
        Refused: the id belongs to something else.
    """
    Vessel.objects.select_for_update(no_key=True).get(pk=vessel.pk)
    entry = recorded(entry_id, kind=kind)
    if entry is not None and entry.vessel_id != vessel.pk:
        raise Refused(USED_ELSEWHERE)
    return entry


def recorded(entry_id: uuid.UUID | None, *, kind: str) -> LogEntry | None:
    """The entry that an earlier sending of the same form made, or None.

    Raises:
        Refused: the id belongs to an entry of another kind.
    """
    if entry_id is None:
        return None
    entry = LogEntry.objects.filter(pk=entry_id).first()
    if entry is not None and entry.kind != kind:
        raise Refused(USED_ELSEWHERE)
    return entry


def following_id(entry_id: uuid.UUID | None, what: str) -> uuid.UUID | None:
    """The id of a second entry that the same form makes, so that it repeats as well."""
    return uuid.uuid5(entry_id, what) if entry_id else None


def append(new: NewEntry, *, detail: models.Model | None = None, children: Sequence[models.Model] = ()) -> LogEntry:
    """Add an entry with its detail row and the detail's child rows.

    ``detail.entry`` is set here. Children already point at ``detail`` (by object) and are saved after it, in order.

    Raises:
        Refused: it is said to have happened in the future, or names what is not of its boat.
        ValueError: the detail is not of the kind's model.
    """
    kind = kind_of(new.kind)
    if kind.detail_model() is not (type(detail) if detail is not None else None):
        raise ValueError(f"an entry of kind {new.kind!r} needs a detail of {kind.model}")
    try:
        with transaction.atomic():
            return _append(new, detail, children)
    except IntegrityError as error:
        # The journal knows nothing of this id: the entry is from before there was a journal, or of another act.
        there = LogEntry.objects.filter(pk=new.id).first() if new.id is not None else None
        if there is None:
            raise
        is_it = (there.kind, there.vessel_id, there.author_id) == (new.kind, new.vessel.pk, new.author.pk)
        raise Refused(ALREADY_THERE.format(there.summary) if is_it else USED_ELSEWHERE) from error


def _append(new: NewEntry, detail: models.Model | None, children: Sequence[models.Model]) -> LogEntry:
    """Take the vessel's turn, link the entry to the one before it, and write."""
    now = timezone.now()
    happened = new.happened_at or now
    if happened > now + FUTURE_ALLOWED:
        raise Refused(
            "This is dated in the future. Check date and time.", fields={"happened_at": "Enter a time in the past."}
        )
    vessel = Vessel.objects.select_for_update(no_key=True).get(pk=new.vessel.pk)
    refuse_strangers(vessel, kind=new.kind, engine=new.engine, job_id=new.job_id, amends=new.amends)
    entry = LogEntry(
        id=new.id or uuid.uuid4(),
        vessel=vessel,
        engine=new.engine,
        job_id=new.job_id,
        kind=new.kind,
        author=new.author,
        happened_at=happened,
        recorded_at=timezone.now(),
        engine_hours=new.engine_hours,
        summary=new.summary,
        text=new.text.strip(),
        amends=new.amends,
        position=vessel.log_position + 1,
        digest="",
    )
    _settle(entry)
    if detail is not None:
        detail.entry = entry  # type: ignore[attr-defined]
        _settle(detail)
    for child in children:
        _settle(child)
    _save(entry, vessel, detail, children)
    new.vessel.log_position, new.vessel.log_digest = vessel.log_position, vessel.log_digest
    if entry.amends_id is not None:
        tell_amended(entry)
    return entry


def _save(entry: LogEntry, vessel: Vessel, detail: models.Model | None, children: Sequence[models.Model]) -> None:
    """Write details first (their foreign keys are checked at commit), so that the digest covers what is stored."""
    if detail is not None:
        detail.save(force_insert=True)
    for child in children:
        for field in child._meta.concrete_fields:
            if isinstance(field, models.ForeignKey) and field.is_cached(child):
                setattr(child, field.name, getattr(child, field.name))
        child.save(force_insert=True)
    entry.digest = chain_digest(vessel.log_digest, entry_body(entry, detail, children))
    entry.save(force_insert=True)
    vessel.log_position, vessel.log_digest = entry.position, entry.digest
    vessel.save(update_fields=["log_position", "log_digest"])


def _settle(instance: models.Model) -> None:
    """Round decimals to what the column holds, so that the digest speaks of the stored value."""
    for field in instance._meta.concrete_fields:
        value = getattr(instance, field.attname)
        if isinstance(field, models.DecimalField) and value is not None:
            step = Decimal(1).scaleb(-field.decimal_places)
            setattr(instance, field.attname, Decimal(value).quantize(step, rounding=ROUND_HALF_UP))


def row_facts(row: models.Model) -> dict[str, Any]:
    """The stored values of a row by column, without the digest itself.

    Empty columns are left out, so that a nullable column added later leaves the digests of older rows as they are.
    """
    facts = {
        field.attname: getattr(row, field.attname) for field in row._meta.concrete_fields if field.name != "digest"
    }
    return {name: value for name, value in facts.items() if value is not None}


def entry_body(entry: LogEntry, detail: models.Model | None, children: Iterable[models.Model]) -> bytes:
    """The canonical JSON that the digest covers: the entry, its detail, and the detail's rows in key order."""
    return canonical_json(
        {
            "entry": row_facts(entry),
            "detail": row_facts(detail) if detail is not None else None,
            "rows": [row_facts(child) for child in sorted(children, key=lambda row: (row._meta.label, row.pk))],
        }
    )
