"""What is known of each event that feeds have told: UID, SEQUENCE and since when it is as it is.

RFC 5545: the UID of an event stays (3.8.4.7); SEQUENCE grows with each change of its time or status (3.8.7.4);
DTSTAMP, in a calendar without METHOD, and LAST-MODIFIED are when it was last revised (3.8.7.2, 3.8.7.3).
"""

from __future__ import annotations

import hashlib
from collections.abc import Sequence

from django.utils import timezone

from engineering.canonical import canonical_json
from workorders.calendar.models import EventTold
from workorders.calendar.sources import Event

Keyed = tuple[str, Event]


def told_of(events: Sequence[Keyed]) -> dict[str, EventTold]:
    """What is to be told of each event, by key; what changed is noted: one query, and two more where something did."""
    rows = EventTold.objects.defer("written", "written_from")
    known = rows.in_bulk([key for key, _ in events])
    now = timezone.now().replace(microsecond=0)
    changed = []
    for key, event in events:
        digest, when = _digest(vars(event)), _digest([event.starts, event.ends, event.is_about])
        before = known.get(key)
        if before is None:
            changed.append(EventTold(key=key, digest=digest, when_digest=when, revised_at=now))
        elif before.digest != digest:
            before.sequence += before.when_digest != when
            before.digest, before.when_digest, before.revised_at = digest, when, now
            changed.append(before)
    if changed:
        EventTold.objects.bulk_create(
            changed,
            update_conflicts=True,
            unique_fields=["key"],
            update_fields=["digest", "when_digest", "sequence", "revised_at"],
        )
        # Somebody else may have told the same for the first time at this moment: one UID counts.
        known |= rows.in_bulk([one.key for one in changed])
    return known


def _digest(value: object) -> str:
    return hashlib.sha256(canonical_json(value)).hexdigest()
