"""What was fitted into a boat and its engines: which part, since when, at what hours, and whether it came out."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from decimal import Decimal
from typing import Any, NamedTuple
from uuid import UUID

from engineering.canonical import plain_decimal
from vessels.log.afterwards import Later, afterwards_of, afterwards_sql
from vessels.log.evidence import SUPERSEDED
from vessels.models import Vessel
from vessels.models.hulls import engine_words
from vessels.models.searching import squeeze
from vessels.queries.finding import beginning
from vessels.queries.hours import HoursKnown, hours_by_key
from web.rows import rows
from workorders.jobparts.log_details import old_part_words
from workorders.jobparts.models import part_words

MOST = 200
"""Parts on one page; the table to keep has all."""
TIGHT_SERIAL = "upper(replace(replace(fitted.serial, '-', ''), ' ', ''))"
_TIGHT_NUMBER = "upper(replace(replace(fitted.number, '-', ''), ' ', ''))"
_TIGHT_OLD = "upper(replace(replace(fitted.old_serial, '-', ''), ' ', ''))"


class PartAboard(NamedTuple):
    """One fitted part of a boat, as it counts now."""

    pk: UUID
    number: str
    maker: str
    description: str
    quantity: Decimal
    condition: str
    serial: str
    old_serial: str
    old_fate: str
    is_correction: bool
    happened_at: datetime
    engine_hours: Decimal | None
    text: str
    author: str
    job_number: int | None
    engine_id: int | None
    engine_position: str | None
    engine_maker: str
    engine_model: str
    engine_serial: str
    out_at: datetime | None
    told_later: str | None
    in_all: int
    hours_since: Decimal | None = None

    @property
    def notes(self) -> Sequence[Later]:
        """The notes that say what is right of its words."""
        return afterwards_of(self.told_later).notes

    @property
    def words(self) -> str:
        """What it is."""
        return part_words(self.number, self.maker, self.description)

    @property
    def quantity_words(self) -> str:
        """How many."""
        return plain_decimal(self.quantity)

    @property
    def engine(self) -> str:
        """Which engine; nothing where it is of the boat itself."""
        if self.engine_position is None:
            return ""
        return engine_words(self.engine_position, self.engine_maker, self.engine_model)

    @property
    def old_part(self) -> str:
        """What came out for it."""
        return old_part_words(self.old_serial, self.old_fate)


_ABOARD = f"""
    WITH aboard AS MATERIALIZED (
        SELECT fitted.entry_id, fitted.number, fitted.maker, fitted.description, fitted.quantity, fitted.condition,
               fitted.serial, fitted.old_serial, fitted.old_fate, fitted.first_id IS NOT NULL AS is_correction,
               {TIGHT_SERIAL} AS tight, {_TIGHT_OLD} AS old_tight, entry.happened_at, entry.position,
               entry.engine_hours, entry.text, entry.author_id, entry.job_id, entry.engine_id
        FROM vessels_logentry entry JOIN jobparts_partfitted fitted ON fitted.entry_id = entry.id
        WHERE entry.vessel_id = %(vessel)s AND entry.kind = 'part-fitted' AND NOT {SUPERSEDED}
    )
    SELECT aboard.entry_id AS pk, aboard.number, aboard.maker, aboard.description, aboard.quantity, aboard.condition,
           aboard.serial, aboard.old_serial, aboard.old_fate, aboard.is_correction, aboard.happened_at,
           aboard.engine_hours, aboard.text, author.name AS author, job.number AS job_number, aboard.engine_id,
           engine.position AS engine_position, COALESCE(engine.maker, '') AS engine_maker,
           COALESCE(engine.model, '') AS engine_model, COALESCE(engine.serial, '') AS engine_serial,
           (SELECT min(later.happened_at) FROM aboard later
            WHERE aboard.tight <> '' AND later.old_tight = aboard.tight AND later.entry_id <> aboard.entry_id
              AND later.happened_at >= aboard.happened_at) AS out_at,
           {afterwards_sql("aboard.entry_id")} AS told_later, count(*) OVER () AS in_all
    FROM aboard JOIN staff_person author ON author.id = aboard.author_id
    LEFT JOIN workorders_job job ON job.id = aboard.job_id
    LEFT JOIN vessels_engine engine ON engine.id = aboard.engine_id
    WHERE %(engine)s::bigint IS NULL OR aboard.engine_id = %(engine)s
    ORDER BY aboard.happened_at DESC, aboard.position DESC LIMIT %(most)s
"""  # noqa: S608  (put together from what the program says)


def newest_aboard(vessel: Vessel, *, engine: int | None = None) -> list[PartAboard]:
    """As many of them as one page has; each says how many there are in all."""
    return parts_aboard(vessel, engine=engine, most=MOST)


def parts_aboard(vessel: Vessel, *, engine: int | None = None, most: int | None = None) -> list[PartAboard]:
    """What was fitted into a boat, or into one of its engines, newest first, ``most`` of it if given: two queries.

    ``hours_since`` are the engine's hours from then to the last that are known of it, for what is still aboard.
    """
    found = rows(PartAboard, _ABOARD, {"vessel": vessel.pk, "engine": engine, "most": most})
    last = hours_by_key({one.engine_id for one in found if one.engine_id is not None})
    return [one._replace(hours_since=_since(one, last)) for one in found]


def _since(one: PartAboard, last: dict[int, HoursKnown]) -> Decimal | None:
    known = last.get(one.engine_id) if one.engine_id is not None else None
    if known is None or one.engine_hours is None or one.out_at is not None:
        return None
    since = known.engine_hours - one.engine_hours
    return since if since >= 0 else None


class FoundFitted(NamedTuple):
    """A fitted part as the search shows it."""

    pk: UUID
    number: str
    maker: str
    description: str
    serial: str
    old_serial: str
    vessel: str
    position: str | None
    happened_at: datetime


_ONE_WAY = """(SELECT fitted.entry_id FROM jobparts_partfitted fitted
               WHERE {column} ~>=~ %(tight)s AND {column} ~<~ %(tight_end)s LIMIT %(many)s)"""
_FOUND = f"""
    SELECT fitted.entry_id AS pk, fitted.number, fitted.maker, fitted.description, fitted.serial, fitted.old_serial,
           COALESCE(NULLIF(vessel.name, ''), NULLIF(concat_ws(
             ' ', NULLIF(vessel.maker, ''), NULLIF(vessel.model, '')), ''), 'Vessel ' || vessel.id) AS vessel,
           engine.position, entry.happened_at
    FROM jobparts_partfitted fitted JOIN vessels_logentry entry ON entry.id = fitted.entry_id
    JOIN vessels_vessel vessel ON vessel.id = entry.vessel_id
    LEFT JOIN vessels_engine engine ON engine.id = entry.engine_id
    WHERE fitted.entry_id = ANY(ARRAY({{ways}})) AND NOT {SUPERSEDED}
    ORDER BY entry.happened_at DESC, entry.position DESC LIMIT %(most)s
"""  # noqa: S608


def found_fitted(sign: str, *, at_most: int) -> list[FoundFitted]:
    """Fitted parts whose number or serial, or whose old part's serial, begins so, newest first."""
    tight = squeeze(sign)
    if not tight:
        return []
    asked: dict[str, Any] = {**beginning("tight", tight), "most": at_most, "many": 50 * at_most}
    ways = " UNION ".join(_ONE_WAY.format(column=column) for column in (_TIGHT_NUMBER, TIGHT_SERIAL, _TIGHT_OLD))
    return rows(FoundFitted, _FOUND.format(ways=ways), asked)
