"""Which entries still count: those that nothing of their own kind replaced and no retraction voided.

The rule stands here alone, once for each tongue that asks it: two kinds at hand (``replaces``), a queryset
(``effective``, ``superseded``, ``is_effective``), and hand-written SQL (``SUPERSEDED``, ``SUPERSEDED_KEYS``). A test
holds them to each other.

A correcting note leaves what it corrects standing, a note as well: it adds words and takes none away. A correction that
was itself voided does not bring back what it replaced: of that nobody says any more that it was so.
"""

from __future__ import annotations

from django.db.models import Exists, F, OuterRef, Q, QuerySet

from vessels.models import LogEntry

RETRACTION = "retraction"
NOTE = "note"

REPLACES = "(later.kind = 'retraction' OR (later.kind = entry.kind AND later.kind <> 'note'))"
"""For hand-written questions: whether ``later``, which amends ``entry``, makes it count no more."""

SUPERSEDED = f"EXISTS (SELECT FROM vessels_logentry later WHERE later.amends_id = entry.id AND {REPLACES})"
"""For hand-written questions: whether ``entry`` was replaced by its own kind or voided."""

SUPERSEDED_KEYS = f"""SELECT DISTINCT entry.id FROM vessels_logentry later
                  JOIN vessels_logentry entry ON entry.id = later.amends_id
                  WHERE later.amends_id IS NOT NULL AND {REPLACES}"""  # noqa: S608
"""The keys of all entries that no longer count: for questions over the whole shop, where few of many are undone.

The join says already that ``amends_id`` is there; said once more, the database knows that few entries are left, and
looks each of them up instead of walking all of the log.
"""


def replaces(later: str, entry: str) -> bool:
    """Whether an entry of the kind ``later`` that amends one of the kind ``entry`` makes it count no more."""
    return later == RETRACTION or later == entry != NOTE


def superseding(entry: str) -> QuerySet[LogEntry]:
    """The entries that make one count no more, inside a question about it; ``entry`` is the way to its key."""
    of_its_kind = Q(kind=F("amends__kind")) & ~Q(kind=NOTE)
    return LogEntry.objects.filter(amends=OuterRef(entry)).filter(of_its_kind | Q(kind=RETRACTION))


def superseded(entry: str) -> Exists:
    """Whether an entry was replaced by its own kind or voided; ``entry`` is the queryset's way to its key."""
    return Exists(superseding(entry))


def effective(entries: QuerySet[LogEntry]) -> QuerySet[LogEntry]:
    """Those of the entries that count as evidence."""
    return entries.filter(~superseded("pk"))


def is_effective(entry: LogEntry) -> bool:
    """Whether the entry still counts as evidence."""
    return effective(LogEntry.objects.filter(pk=entry.pk)).exists()
