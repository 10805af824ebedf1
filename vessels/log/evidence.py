"""Which entries still count: those that nothing of their own kind replaced and no retraction took back."""

from __future__ import annotations

from django.db.models import Exists, F, OuterRef, Q, QuerySet

from vessels.models import LogEntry

RETRACTION = "retraction"
NOTE = "note"

UNDONE = """EXISTS (SELECT FROM vessels_logentry later WHERE later.amends_id = entry.id
                     AND (later.kind = 'retraction' OR (later.kind = entry.kind AND later.kind <> 'note')))"""
"""For hand-written questions: whether ``entry`` was replaced by its own kind or taken back."""


def standing(entries: QuerySet[LogEntry]) -> QuerySet[LogEntry]:
    """Those of the entries that count as evidence. A correcting note leaves an entry standing, a note as well."""
    replaced = Q(kind=OuterRef("kind")) & ~Q(kind=NOTE)
    return entries.exclude(Exists(LogEntry.objects.filter(Q(kind=RETRACTION) | replaced, amends=OuterRef("pk"))))


def undone(entry: str) -> Exists:
    """Whether an entry was replaced by its own kind or taken back; ``entry`` is the queryset's way to its key."""
    of_its_kind = Q(kind=F("amends__kind"))
    return Exists(LogEntry.objects.filter(amends=OuterRef(entry)).filter(of_its_kind | Q(kind=RETRACTION)))


def is_standing(entry: LogEntry) -> bool:
    """Whether the entry still counts as evidence."""
    undone_by = {RETRACTION, entry.kind} - {NOTE}
    return not entry.amendments.filter(kind__in=undone_by).exists()
