"""Where the events of the calendar come from. Each app that knows some registers its source in ``ready``."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date, datetime

from web.registry import Registry


@dataclass(frozen=True, kw_only=True)
class Event:
    """One event.

    ``key``: what it is in its source, and stays while it is moved or reworded: "job-1032". ``starts`` and ``ends``:
    days of the shop's calendar, the last day included, for what takes whole days; or moments with a zone. ``title``
    and ``words`` bear no sum, and no name or number of a customer: those are ``reach``, told only where a feed is to
    have it. ``is_about``: the day is worked out and not agreed; then ``words`` say from what. ``path``: its page.
    ``whose``: the key of the technician whose it is. ``is_free``: it takes nobody's time.
    """

    key: str
    title: str
    starts: date | datetime
    ends: date | datetime | None = None
    words: str = ""
    place: str = ""
    reach: str = ""
    path: str = ""
    whose: int | None = None
    is_about: bool = False
    is_free: bool = True


@dataclass(frozen=True)
class Asked:
    """Which events are asked for: those of the days from ``first`` to ``last``; ``with_reach`` where that is shown."""

    first: date
    last: date
    with_reach: bool = False


@dataclass(frozen=True)
class Source:
    """Events of one sort. ``events`` answers in a fixed number of queries, without what was canceled."""

    key: str
    title: str
    events: Callable[[Asked], Iterable[Event]]
    position: int = 10


_sources: Registry[Source] = Registry(lambda source: source.key)
register, sources = _sources.register, _sources.in_order


def choices() -> list[tuple[str, str]]:
    """The sources as choices of a form."""
    return [(source.key, source.title) for source in sources()]
