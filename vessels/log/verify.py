"""Walking the chain: is the log what was written?"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from django.db import models, transaction

from engineering.canonical import chain_digest
from vessels.log.chain import GENESIS, entry_body
from vessels.log.registry import kind_of
from vessels.models import LogEntry, Vessel

CHUNK = 2000


@dataclass(frozen=True)
class BrokenLink:
    """The first place of a vessel's chain that is not what was written."""

    vessel: Vessel
    position: int
    entry: LogEntry | None
    sentence: str


def details_of(entries: Sequence[LogEntry]) -> dict[Any, tuple[models.Model, list[models.Model]]]:
    """Detail and child rows by entry id, in a fixed number of queries per kind."""
    by_kind: dict[str, list[LogEntry]] = defaultdict(list)
    for entry in entries:
        by_kind[entry.kind].append(entry)
    found: dict[Any, tuple[models.Model, list[models.Model]]] = {}
    for slug, members in by_kind.items():
        kind = kind_of(slug)
        model = kind.detail_model()
        if model is None:
            continue
        rows = model._default_manager.filter(pk__in=[entry.pk for entry in members]).prefetch_related(*kind.children)
        for row in rows:
            children = [child for name in kind.children for child in getattr(row, name).all()]
            found[row.pk] = (row, children)
    return found


def broken_link(vessel: Vessel, *, since: int = 1) -> BrokenLink | None:
    """The first broken link of a vessel's chain, or None when every digest agrees; from the entry ``since`` on.

    Entries may be added while the walk is under way. So a break is looked at a second time with the vessel's turn
    to write in hand before it is believed.
    """
    link = _walk(Vessel.objects.get(pk=vessel.pk), since)
    if link is None:
        return None
    with transaction.atomic():
        return _walk(Vessel.objects.select_for_update(no_key=True).get(pk=vessel.pk), since)


def _walk(vessel: Vessel, since: int) -> BrokenLink | None:
    expected, previous = since, GENESIS
    entries = LogEntry.objects.filter(vessel=vessel, position__gte=since).order_by("position")
    if since > 1:
        before = LogEntry.objects.filter(vessel=vessel, position=since - 1).values_list("digest", flat=True)
        previous = before.first() or ""
    for chunk in _chunks(entries):
        details = details_of(chunk)
        for entry in chunk:
            if entry.position != expected:
                return BrokenLink(vessel, expected, None, f"entry {expected} is missing")
            detail, children = details.get(entry.pk, (None, []))
            if chain_digest(previous, entry_body(entry, detail, children)) != entry.digest:
                return BrokenLink(vessel, entry.position, entry, f"entry {entry.position} is not what was written")
            previous, expected = entry.digest, expected + 1
    if expected - 1 != vessel.log_position:
        sentence = f"the log ends at entry {expected - 1}, not at {vessel.log_position}"
        return BrokenLink(vessel, min(expected, vessel.log_position + 1), None, sentence)
    if previous != vessel.log_digest:
        return BrokenLink(vessel, expected - 1, None, "the last digest is not the one that the vessel keeps")
    return None


def _chunks(entries: models.QuerySet[LogEntry]) -> Iterator[list[LogEntry]]:
    """Entries in order, a bounded number at a time."""
    last = 0
    while chunk := list(entries.filter(position__gt=last)[:CHUNK]):
        yield chunk
        if len(chunk) < CHUNK:
            return
        last = chunk[-1].position
