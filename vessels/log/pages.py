"""The log as people read it: newest first, a page at a time, with everything that an entry needs in a few queries.

Other apps show the log of their own records with ``log_page`` and ``{% include "vessels/log/page.html" %}``.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from urllib.parse import urlencode

from django.db.models import Q, QuerySet
from django.http import HttpRequest

from vessels.log.evidence import RETRACTION
from vessels.log.registry import LogKind, all_kinds, kind_of
from vessels.models import Engine, LogEntry
from vessels.wording import delay_words

PAGE_SIZE = 25
NEWEST_FIRST = ("-happened_at", "-position")
OLDEST_FIRST = ("happened_at", "position")
_CURSOR = re.compile(r"(.{10,40})_([0-9]{1,9})")


@dataclass(frozen=True)
class ShownEntry:
    """An entry with its kind, its detail row, and what was added to it later."""

    entry: LogEntry
    kind: LogKind
    detail: Any
    amendments: list[LogEntry]

    @property
    def is_taken_back(self) -> bool:
        """Whether a later entry took it back."""
        return any(later.kind == RETRACTION for later in self.amendments)

    @property
    def is_replaced(self) -> bool:
        """Whether a later entry of its own kind stands in its place."""
        return any(later.kind == self.entry.kind != "note" for later in self.amendments)

    @property
    def late(self) -> str:
        """How much later it was written down, or nothing."""
        return delay_words(self.entry.recorded_at - self.entry.happened_at) if self.entry.is_late else ""


@dataclass(frozen=True)
class Choice:
    """One way to narrow the log down. The page draws it itself: a form's own select costs a template an option."""

    name: str
    label: str
    options: list[tuple[str, str]]
    chosen: str


@dataclass(frozen=True)
class LogPage:
    """One page of a log, for ``vessels/log/page.html``."""

    entries: list[ShownEntry]
    choices: list[Choice]
    text: str
    is_filtered: bool
    newer_url: str
    older_url: str
    clear_url: str


def log_page(
    request: HttpRequest,
    entries: QuerySet[LogEntry],
    *,
    engines: Iterable[Engine] = (),
    jobs: Sequence[tuple[str, str]] | None = None,
    size: int = PAGE_SIZE,
) -> LogPage:
    """The page that the request asks for, of a vessel's or a job's entries.

    ``engines`` and ``jobs`` (pairs of key and label) are offered in the filter; None leaves the filter by job out.
    """
    choices = [_choice(request, "kind", "All kinds", [(kind.slug, kind.label) for kind in all_kinds()])]
    choices.append(_choice(request, "engine", "All engines", [(str(engine.pk), str(engine)) for engine in engines]))
    if jobs is not None:
        choices.append(_choice(request, "job", "All jobs", jobs))
    text = request.GET.get("text", "").replace("\x00", "").strip()[:100]
    chosen = {choice.name: choice.chosen for choice in choices if choice.chosen} | ({"text": text} if text else {})
    narrowed = _narrow(entries, chosen)
    rows, has_newer, has_older = _page(narrowed, request.GET.get("before", ""), request.GET.get("after", ""), size)
    here = request.path
    return LogPage(
        entries=shown_entries(rows),
        choices=choices,
        text=text,
        is_filtered=bool(chosen),
        newer_url=_turn(here, chosen, "after", rows[0]) if rows and has_newer else "",
        older_url=_turn(here, chosen, "before", rows[-1]) if rows and has_older else "",
        clear_url=here,
    )


def shown_entries(entries: Sequence[LogEntry]) -> list[ShownEntry]:
    """Entries with the details that a template shows: a query for each such kind, and what it asks to have with it."""
    details = _details(entries)
    amendments: dict[Any, list[LogEntry]] = defaultdict(list)
    amending = LogEntry.objects.filter(amends__in=[entry.pk for entry in entries]).select_related("author")
    for later in amending.order_by("position"):
        amendments[later.amends_id].append(later)
    return [
        ShownEntry(entry, kind_of(entry.kind), details.get(entry.pk), amendments.get(entry.pk, [])) for entry in entries
    ]


def with_people(entries: QuerySet[LogEntry]) -> QuerySet[LogEntry]:
    """Entries with author, engine, job and what they amend.

    All but the author repeat or are rare on a page, so they are fetched once each and not joined to every row.
    """
    return entries.select_related("author").prefetch_related("engine", "job", "amends")


def _details(entries: Sequence[LogEntry]) -> dict[Any, Any]:
    by_kind: dict[str, list[Any]] = defaultdict(list)
    for entry in entries:
        by_kind[entry.kind].append(entry.pk)
    found: dict[Any, Any] = {}
    for slug, keys in by_kind.items():
        kind = kind_of(slug)
        model = kind.detail_model()
        if model is not None and kind.template:
            rows = model._default_manager.select_related(*kind.select) if kind.select else model._default_manager.all()
            found.update({row.pk: row for row in rows.filter(pk__in=keys).prefetch_related(*kind.prefetch)})
    return found


def _choice(request: HttpRequest, name: str, every: str, offered: Sequence[tuple[str, str]]) -> Choice:
    """A choice with what the request says; what is not offered counts as not said."""
    said = request.GET.get(name, "")
    options = [("", every), *offered]
    return Choice(name, name.capitalize(), options, said if said in dict(options) else "")


def _narrow(entries: QuerySet[LogEntry], chosen: dict[str, str]) -> QuerySet[LogEntry]:
    if "kind" in chosen:
        entries = entries.filter(kind=chosen["kind"])
    if "engine" in chosen:
        entries = entries.filter(engine=int(chosen["engine"]))
    if "job" in chosen:
        entries = entries.filter(job=int(chosen["job"]))
    for word in chosen.get("text", "").split():
        entries = entries.filter(Q(summary__icontains=word) | Q(text__icontains=word))
    return entries


def _page(entries: QuerySet[LogEntry], before: str, after: str, size: int) -> tuple[list[LogEntry], bool, bool]:
    """The rows, whether there are newer ones, and whether there are older ones."""
    newest_first = with_people(entries).order_by(*NEWEST_FIRST)
    since = _cursor(after)
    if since is not None:
        at, position = since
        later = entries.filter(happened_at__gte=at).filter(Q(happened_at__gt=at) | Q(position__gt=position))
        rows = list(with_people(later).order_by(*OLDEST_FIRST)[: size + 1])
        if len(rows) > size:
            return rows[:size][::-1], True, True
        rows = list(newest_first[: size + 1])
        return rows[:size], False, len(rows) > size
    until = _cursor(before)
    if until is not None:
        at, position = until
        earlier = newest_first.filter(happened_at__lte=at).filter(Q(happened_at__lt=at) | Q(position__lt=position))
        rows = list(earlier[: size + 1])
        return rows[:size], True, len(rows) > size
    rows = list(newest_first[: size + 1])
    return rows[:size], False, len(rows) > size


def _cursor(text: str) -> tuple[datetime, int] | None:
    """The place in the log that a page begins at; one that makes no sense is the newest."""
    match = _CURSOR.fullmatch(text)
    if match is None:
        return None
    try:
        at = datetime.fromisoformat(match.group(1))
    except ValueError:
        return None
    return (at, int(match.group(2))) if at.tzinfo is not None else None


def _turn(path: str, chosen: dict[str, str], way: str, entry: LogEntry) -> str:
    mark = f"{entry.happened_at.isoformat()}_{entry.position}"
    return f"{path}?{urlencode({**chosen, way: mark})}"
