"""A long log, written at once, with the same chain as one that grew."""

from __future__ import annotations

import uuid
from datetime import timedelta
from decimal import Decimal

from django.utils import timezone

from engineering.canonical import chain_digest
from tests.cast import Cast
from vessels.log.chain import entry_body
from vessels.models import HourReading, LogEntry, Vessel


def lengthen(cast: Cast, count: int, *, ago: timedelta = timedelta(0)) -> None:
    """Add entries to the cast's vessel: notes, and every fifth an hour reading."""
    boat = Vessel.objects.get(pk=cast.vessel.pk)
    meter = cast.port.meters.get()
    entries, details = [], []
    digest, now = boat.log_digest, timezone.now() - ago
    for index in range(count):
        is_reading = index % 5 == 0
        at = now - timedelta(minutes=count - index)
        entry = LogEntry(
            id=uuid.uuid4(),
            vessel=boat,
            engine=cast.port if is_reading else None,
            kind="hours" if is_reading else "note",
            author=cast.tech,
            happened_at=at,
            recorded_at=at,
            engine_hours=Decimal(index) / 10 if is_reading else None,
            summary=f"Entry {index}",
            text="" if is_reading else f"word{index % 97}",
            position=boat.log_position + index + 1,
        )
        detail = HourReading(entry=entry, meter=meter, shown=Decimal(index) / 10) if is_reading else None
        entry.digest = digest = chain_digest(digest, entry_body(entry, detail, []))
        entries.append(entry)
        details += [detail] if detail else []
    LogEntry.objects.bulk_create(entries)
    HourReading.objects.bulk_create(details)
    Vessel.objects.filter(pk=boat.pk).update(log_position=boat.log_position + count, log_digest=digest)
    cast.vessel.refresh_from_db()
