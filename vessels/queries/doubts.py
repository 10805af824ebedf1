"""Hours on record that cannot all be right: an hour meter that ran faster than the clock."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from datetime import datetime
from decimal import Decimal
from typing import NamedTuple

from engineering.hours import hours_words
from vessels.hours import ROUNDED, Known, ran_faster
from vessels.log.evidence import SUPERSEDED
from vessels.wording import moment_words
from web.rows import rows


class _Pair(NamedTuple):
    """The hours of two entries of an engine, one after the other."""

    engine_id: int
    hours_before: Decimal
    at_before: datetime
    hours: Decimal
    at: datetime


_PAIRS = f"""
    SELECT engine_id, hours_before, at_before, engine_hours AS hours, happened_at AS at
    FROM (
        SELECT entry.engine_id, entry.engine_hours, entry.happened_at, entry.position,
               lag(entry.engine_hours) OVER later AS hours_before, lag(entry.happened_at) OVER later AS at_before
        FROM vessels_logentry entry
        WHERE entry.engine_id = ANY(%(engines)s) AND entry.engine_hours IS NOT NULL AND NOT {SUPERSEDED}
        WINDOW later AS (PARTITION BY entry.engine_id ORDER BY entry.happened_at, entry.position)
    ) pairs
    WHERE (engine_hours - hours_before) * 3600 > extract(epoch FROM happened_at - at_before) + %(slack)s
    ORDER BY engine_id, happened_at, position
"""  # noqa: S608  (put together from what the program says)


def hours_in_doubt(engine_ids: Iterable[int], *, until: datetime | None = None) -> dict[int, list[str]]:
    """Of each engine what two readings of its hours contradict the clock by, in sentences; one query.

    Such hours were asked about when they were logged, and kept. Which of the two is wrong nobody knows.
    """
    slack = int(ROUNDED.total_seconds())
    found: dict[int, list[str]] = defaultdict(list)
    for pair in rows(_Pair, _PAIRS, {"engines": list(engine_ids), "slack": slack}):
        earlier, later = Known(pair.hours_before, pair.at_before), Known(pair.hours, pair.at)
        if (until is None or pair.at <= until) and ran_faster(earlier, later) is not None:
            found[pair.engine_id].append(doubt_words(earlier, later))
    return dict(found)


def doubt_words(earlier: Known, later: Known) -> str:
    """What two readings contradict the clock by, in a sentence."""
    began, ended = (f"{hours_words(one.hours)} on {moment_words(one.local_at)}" for one in (earlier, later))
    return (
        f"{began} and {ended} cannot both be right: more hours than have passed. Lengths in engine hours from before "
        f"to after are in doubt."
    )
