"""The log as people read it: newest first, a page at a time, with everything that an entry needs in a few queries.

Other apps show the log of their own records with ``log_page`` and ``{% include "vessels/log/page.html" %}``.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from urllib.parse import urlencode

from django.http import HttpRequest
from django.utils.safestring import SafeString

from vessels.log.entries import OLDEST_FIRST, Entry, EntryFilter, ShownEntry, read_entries, with_details
from vessels.log.registry import all_kinds
from web.markup import NOTHING, filled, joined

PAGE_SIZE = 25
_LIKE_SIGNS, _AS_ITSELF = re.compile(r"[\\%_]"), r"\\\g<0>"
_CURSOR = re.compile(r"(.{10,40})_([0-9]{1,9})")


@dataclass(frozen=True)
class Choice:
    """One way to narrow the log down. The page draws it itself: a form's own select costs a template an option."""

    name: str
    label: str
    options: list[tuple[str, str]]
    chosen: str

    @property
    def markup(self) -> SafeString:
        """The options: a page of a log offers more of them than it has entries."""
        chosen = filled(" selected")
        return joined(
            filled('<option value="{}"{}>{}</option>', value, chosen if value == self.chosen else NOTHING, words)
            for value, words in self.options
        )


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
    entries: EntryFilter,
    *,
    engines: Sequence[tuple[str, str]] = (),
    jobs: Sequence[tuple[str, str]] | None = None,
    size: int = PAGE_SIZE,
) -> LogPage:
    """The page that the request asks for, of a vessel's or a job's entries.

    ``engines`` and ``jobs``, pairs of key and label, are offered in the filter; None leaves the filter by job out.
    """
    choices = [_choice(request, "kind", "All kinds", [(kind.slug, kind.label) for kind in all_kinds()])]
    choices.append(_choice(request, "engine", "All engines", engines))
    if jobs is not None:
        choices.append(_choice(request, "job", "All jobs", jobs))
    text = request.GET.get("text", "").replace("\x00", "").strip()[:100]
    chosen = {choice.name: choice.chosen for choice in choices if choice.chosen} | ({"text": text} if text else {})
    narrowed = _narrow(entries, chosen)
    rows, has_newer, has_older = _page(narrowed, request.GET.get("before", ""), request.GET.get("after", ""), size)
    here = request.path
    return LogPage(
        entries=with_details(rows),
        choices=choices,
        text=text,
        is_filtered=bool(chosen),
        newer_url=_turn(here, chosen, "after", rows[0]) if rows and has_newer else "",
        older_url=_turn(here, chosen, "before", rows[-1]) if rows and has_older else "",
        clear_url=here,
    )


def _choice(request: HttpRequest, name: str, every: str, offered: Sequence[tuple[str, str]]) -> Choice:
    """A choice with what the request says; what is not offered counts as not said."""
    said = request.GET.get(name, "")
    options = [("", every), *offered]
    return Choice(name, name.capitalize(), options, said if said in dict(options) else "")


def _narrow(entries: EntryFilter, chosen: dict[str, str]) -> EntryFilter:
    if "kind" in chosen:
        entries = entries.where("entry.kind = %(kind)s", kind=chosen["kind"])
    if "engine" in chosen:
        entries = entries.where("entry.engine_id = %(engine)s", engine=int(chosen["engine"]))
    if "job" in chosen:
        entries = entries.where("entry.job_id = %(job)s", job=int(chosen["job"]))
    for number, word in enumerate(chosen.get("text", "").split()):
        name = f"word{number}"
        has_it = f"(upper(entry.summary) LIKE upper(%({name})s) OR upper(entry.text) LIKE upper(%({name})s))"
        entries = entries.where(has_it, **{name: f"%{_LIKE_SIGNS.sub(_AS_ITSELF, word)}%"})
    return entries


def _page(entries: EntryFilter, before: str, after: str, size: int) -> tuple[list[Entry], bool, bool]:
    """The rows, whether there are newer ones, and whether there are older ones."""
    place = "(entry.happened_at, entry.position) {} (%(at)s, %(position)s)"
    since = _cursor(after)
    if since is not None:
        later = entries.where(place.format(">"), at=since[0], position=since[1])
        rows = read_entries(later, most=size + 1, order=OLDEST_FIRST)
        if len(rows) > size:
            return rows[:size][::-1], True, True
        rows = read_entries(entries, most=size + 1)
        return rows[:size], False, len(rows) > size
    until = _cursor(before)
    if until is not None:
        entries = entries.where(place.format("<"), at=until[0], position=until[1])
    rows = read_entries(entries, most=size + 1)
    return rows[:size], until is not None, len(rows) > size


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


def _turn(path: str, chosen: dict[str, str], way: str, entry: Entry) -> str:
    mark = f"{entry.happened_at.isoformat()}_{entry.position}"
    return f"{path}?{urlencode({**chosen, way: mark})}"
