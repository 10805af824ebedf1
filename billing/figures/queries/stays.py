"""How long jobs stay in each state: from the move into it to the move out of it.

A stay that goes on is known to last at least until now. The median allows for those: it is Kaplan and Meier's (1958),
and where just half have ended by one day, halfway to the next, as the median of a list is.
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from datetime import datetime
from typing import Any

from billing.figures.period import Period
from web.rows import rows_as_asked
from workorders.models import ENDED

FEWEST = 5
"""Of fewer stays no median is told (common practice, no source)."""

_STAYS = """
WITH moves AS (
    SELECT job_id, state, happened_at AS since,
           lead(happened_at) OVER (PARTITION BY job_id ORDER BY position) AS until
    FROM workorders_moveintime
    WHERE recorded_at >= %(begin)s
), stays AS (
    SELECT job_id, state, since, until, until IS NOT NULL AS has_ended,
           extract(epoch FROM coalesce(until, %(now)s) - since)::float8 / 86400 AS days
    FROM moves
    WHERE since >= %(begin)s AND since < %(end)s AND state <> ALL(%(ended)s)
)
"""


@dataclass(frozen=True, kw_only=True)
class Stays:
    """The stays in one state. ``median`` is None where half have not ended, ``longest_on`` where none goes on."""

    state: str
    stays: int
    gone: int
    going_on: int
    contradict: int
    shortest: float | None
    longest: float | None
    longest_on: float | None
    median: float | None


@dataclass(frozen=True, kw_only=True)
class Stay:
    """One stay of a job in a state; ``until`` is None where it goes on."""

    job: int
    vessel: str
    vessel_id: int
    state: str
    since: datetime
    until: datetime | None
    days: float


_GROUP, _EACH = ([one.name for one in fields(made)] for made in (Stays, Stay))


def stays_of(period: Period, now: datetime, start: int, most: int | None) -> tuple[list[Stays], list[Stay]]:
    """The stays that began on these days, by state, and each of a page of them: one query.

    Those whose times contradict each other are counted. Of each the longest comes first; one more than ``most`` where
    there are.
    """
    page = {"start": start, "most": None if most is None else most + 1}
    found: list[dict[str, Any]] = rows_as_asked(
        dict, f"{_STAYS}{_BY_STATE}{_BEHIND}{_BOTH}", _asked(period, now) | page
    )
    groups = [Stays(**{name: row[name] for name in _GROUP}) for row in found if row["job"] is None]
    each = [Stay(**{name: row[name] for name in _EACH}) for row in found if row["job"] is not None]
    return groups, each


def stays_behind(period: Period, now: datetime, start: int, most: int | None) -> list[Stay]:
    """Each of them, the longest first; one more than ``most`` where there are."""
    page = {"start": start, "most": None if most is None else most + 1}
    return rows_as_asked(Stay, f"{_STAYS}{_BEHIND}{_SHOWN}", _asked(period, now) | page)


def _asked(period: Period, now: datetime) -> dict[str, object]:
    return {"begin": period.begin, "end": period.end, "ended": list(ENDED), "now": now}


_BY_STATE = """
, good AS (SELECT * FROM stays WHERE days >= 0)
, steps AS (
    SELECT state, days, count(*) FILTER (WHERE has_ended) AS gone,
           sum(count(*)) OVER (PARTITION BY state ORDER BY days DESC) AS at_risk
    FROM good GROUP BY state, days
), curve AS (
    SELECT state, days,
           CASE WHEN bool_or(gone = at_risk) OVER before THEN 0
                ELSE exp(sum(ln(1 - CASE WHEN gone = at_risk THEN 0 ELSE gone / at_risk::float8 END)) OVER before)
           END AS share
    FROM steps WHERE gone > 0
    WINDOW before AS (PARTITION BY state ORDER BY days)
), half AS (
    SELECT state, days, share, lead(days) OVER (PARTITION BY state ORDER BY days) AS next FROM curve
), medians AS (
    SELECT DISTINCT ON (state) state,
           CASE WHEN share > 0.5 - 1e-9 AND next IS NOT NULL THEN (days + next) / 2
                WHEN share > 0.5 - 1e-9 THEN NULL
                ELSE days END AS median
    FROM half WHERE share < 0.5 + 1e-9 ORDER BY state, days
)
, by_state AS (
    SELECT s.state, count(*)::int AS stays,
           count(*) FILTER (WHERE s.has_ended AND s.days >= 0)::int AS gone,
           count(*) FILTER (WHERE NOT s.has_ended AND s.days >= 0)::int AS going_on,
           count(*) FILTER (WHERE s.days < 0)::int AS contradict,
           min(s.days) FILTER (WHERE s.has_ended AND s.days >= 0) AS shortest,
           max(s.days) FILTER (WHERE s.has_ended AND s.days >= 0) AS longest,
           max(s.days) FILTER (WHERE NOT s.has_ended AND s.days >= 0) AS longest_on,
           min(m.median) AS median
    FROM stays s LEFT JOIN medians m ON m.state = s.state
    GROUP BY s.state
)
"""
_BEHIND = """
, behind AS (SELECT * FROM stays ORDER BY days DESC, job_id, since OFFSET %(start)s LIMIT %(most)s::bigint)
, shown AS (
    SELECT j.number AS job, v.name AS vessel, v.id AS vessel_id, b.state, b.since, b.until, b.days
    FROM behind b
    JOIN workorders_job j ON j.id = b.job_id
    JOIN vessels_vessel v ON v.id = j.vessel_id
)
"""
"""What a page does not show is left out before boats and jobs are looked up."""
_SHOWN = "SELECT * FROM shown ORDER BY days DESC, job, since"
_BOTH = """
SELECT state, stays, gone, going_on, contradict, shortest, longest, longest_on, median,
       NULL AS job, NULL AS vessel, NULL::bigint AS vessel_id, NULL::timestamptz AS since, NULL::timestamptz AS until,
       NULL::float8 AS days
FROM by_state
UNION ALL
SELECT state, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, job, vessel, vessel_id, since, until, days FROM shown
ORDER BY days DESC NULLS FIRST, job, since
"""
