"""Which entries still count: those that nothing of their own kind replaced and no retraction took back."""

from __future__ import annotations

from django.db.models import Exists, OuterRef, Q, QuerySet

from vessels.models import LogEntry

RETRACTION = "retraction"


def standing(entries: QuerySet[LogEntry]) -> QuerySet[LogEntry]:
    """Those of the entries that count as evidence. A plain correcting note leaves an entry standing."""
    undone = LogEntry.objects.filter(Q(kind=RETRACTION) | Q(kind=OuterRef("kind")), amends=OuterRef("pk"))
    return entries.exclude(Exists(undone))


def is_standing(entry: LogEntry) -> bool:
    """Whether the entry still counts as evidence."""
    return not entry.amendments.filter(kind__in=[RETRACTION, entry.kind]).exists()
