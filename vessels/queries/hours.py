"""What is known of engines' hours: at a moment, last of all, and as the meters of now show them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import NamedTuple
from uuid import UUID

from django.utils import timezone

from engineering.hours import hours_words
from vessels.hours import hours_at_zero, known_hours, meter_at, not_known_words, shown_from, true_hours
from vessels.log.evidence import SUPERSEDED
from vessels.models import Engine, HourMeter, LogEntry
from vessels.wording import day_words
from web.rows import rows


def hours_at(engine: Engine, shown: Decimal, *, at: datetime | None = None) -> Decimal | None:
    """The engine's true hours when its meter shows ``shown``, now or at a moment of the past; None where unknown."""
    meter = meter_at(engine, at or timezone.now())
    return true_hours(meter, shown) if meter is not None else shown


def latest_hours(engine: Engine) -> LogEntry | None:
    """The last entry that tells the engine's true hours (``engine_hours``), or None."""
    return known_hours(engine).order_by("-happened_at", "-position").first()


class HoursKnown(NamedTuple):
    """The last hours that are known of an engine, and the entry that tells them."""

    engine_id: int
    entry_id: UUID
    engine_hours: Decimal
    happened_at: datetime
    is_correction: bool


LAST_HOURS = f"""
    LATERAL (SELECT entry.id, entry.engine_hours, entry.happened_at, entry.amends_id FROM vessels_logentry entry
             WHERE entry.engine_id = engine.id AND entry.engine_hours IS NOT NULL AND NOT {SUPERSEDED}
             ORDER BY entry.happened_at DESC, entry.position DESC LIMIT 1) last
"""  # noqa: S608  (put together from what the program says)
"""For hand-written questions that name an ``engine``: the last hours known of it, joined as ``last``."""

_LAST_BEFORE = LAST_HOURS.replace("ORDER BY", "AND entry.happened_at < %(before)s ORDER BY")
_HOURS = f"""
    SELECT engine.id AS engine_id, last.id AS entry_id, last.engine_hours, last.happened_at,
           last.amends_id IS NOT NULL AS is_correction
    FROM unnest(%(engines)s::bigint[]) AS engine(id) CROSS JOIN {LAST_HOURS}
"""  # noqa: S608


def hours_by_engine(engines: Iterable[Engine]) -> dict[int, HoursKnown]:
    """The last hours known of each engine, by the engine's key, in one query."""
    return hours_by_key(engine.pk for engine in engines)


def hours_by_key(keys: Iterable[int], *, before: datetime | None = None) -> dict[int, HoursKnown]:
    """The same for engines of which only the keys are at hand; ``before`` asks what was known at a moment."""
    asked = _HOURS if before is None else _HOURS.replace(LAST_HOURS, _LAST_BEFORE)
    found = rows(HoursKnown, asked, {"engines": list(keys)} | ({} if before is None else {"before": before}))
    return {known.engine_id: known for known in found}


@dataclass(frozen=True)
class HoursOnRecord:
    """What is known of one engine's hours now: the last of them, its meter, and its hours when that stood at zero."""

    last: HoursKnown | None
    meter: HourMeter | None
    at_zero: Decimal | None

    @property
    def unread_since(self) -> datetime | None:
        """Since when the true hours are not known, because a meter was replaced unread; None where they are."""
        return self.meter.fitted_at if self.meter is not None and self.at_zero is None else None

    def words(self, *, if_unread: str = "") -> str:
        """What was last known, as the meter shows it: beside a field that stays empty.

        Hours are never filled in where they would be logged as read now: nobody read them. ``if_unread`` is said
        besides where the meter was replaced unread.
        """
        since = self.unread_since
        unread = f"{not_known_words(since)} {if_unread}".rstrip() if since is not None else ""
        if self.last is None:
            return unread or "No hours of this engine are on record yet."
        hours = self.last.engine_hours
        on = f"{day_words(self.last.happened_at)}{', a correction' if self.last.is_correction else ''}"
        if unread:
            return f"Last known {hours_words(hours)}, {on}. {unread}"
        shown = shown_from(self.at_zero, hours)
        return f"Last {f'{hours_words(hours)} in all' if shown is None else hours_words(shown)}, {on}."


def hours_on_record(engines: Sequence[Engine]) -> dict[int, HoursOnRecord]:
    """That of each engine, by its key: two queries at most where their meters have been fetched."""
    now = timezone.now()
    meters = {engine.pk: meter_at(engine, now) for engine in engines}
    zeros = hours_at_zero(meter for meter in meters.values() if meter is not None)
    last = hours_by_engine(engines)
    return {
        key: HoursOnRecord(last.get(key), meter, Decimal(0) if meter is None else zeros.get(meter.pk))
        for key, meter in meters.items()
    }


def last_hours_words(engine: Engine, *, if_unread: str = "") -> str:
    """The words about one engine's last hours."""
    return hours_on_record([engine])[engine.pk].words(if_unread=if_unread)
