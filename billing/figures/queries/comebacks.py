"""Faults that came back after a repair under an earlier job, and what that cost.

The repair, and that it did not hold, are the replay's (``findings.faults``): one repair is one piece of work, however
many codes it was logged for. What a comeback cost is what was done since on the lines of other jobs on which work about
the very code is logged, while it was back.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Any

from billing.figures.period import Period
from engineering.recurrence import FEWEST_AT_RISK, Held, NotEnough, holding_curve
from findings.insight.holding_times import is_placed
from vessels.log.evidence import SUPERSEDED
from web.rows import rows_as_asked

_REPAIRS = """
WITH cured AS (
    SELECT e.fault_id, e.work_id, f.vessel_id, f.system, f.code, w.job_id, e.since_at AS repaired_at, e.outcome,
           e.outcome_hours, e.outcome_least_hours, back.id AS back_id, back.opened_at AS back_at,
           back.closed_at AS gone_at, back.gap_hours, back.gap_days,
           CASE WHEN w.job_id IS NULL THEN 'no job'
                WHEN coalesce(back.is_comeback, FALSE) AND o.job_id = w.job_id THEN 'same job'
                WHEN coalesce(back.is_comeback, FALSE) THEN 'comeback'
                WHEN coalesce(back.may_be_comeback, FALSE) THEN 'in doubt'
                WHEN e.outcome = 'returned' THEN 'late'
                WHEN e.outcome = 'held' THEN 'held'
                ELSE 'unknown' END AS came
    FROM faults_episode e
    JOIN faults_fault f ON f.id = e.fault_id
    JOIN vessels_logentry w ON w.id = e.work_id
    LEFT JOIN faults_episode back ON back.fault_id = e.fault_id AND back.number = e.number + 1
    LEFT JOIN vessels_logentry o ON o.id = back.opening_id
    WHERE e.is_repair AND e.closed_at >= %(begin)s AND e.closed_at < %(end)s
), repairs AS (
    SELECT DISTINCT ON (work_id) * FROM cured
    ORDER BY work_id, array_position(ARRAY['no job', 'comeback', 'same job', 'in doubt', 'late', 'unknown',
                                                   'held'], came),
             coalesce(outcome_hours, CASE outcome WHEN 'returned' THEN 1e9 ELSE -1 END), fault_id
), answered AS (
    SELECT DISTINCT c.fault_id, c.back_id, d.line_id, entry.job_id
    FROM cured c
    JOIN faults_workonfault a ON a.fault_id = c.fault_id
    JOIN faults_workdone d ON d.entry_id = a.work_id
    JOIN vessels_logentry entry ON entry.id = a.work_id
    WHERE c.came = 'comeback' AND entry.job_id IS DISTINCT FROM c.job_id
      AND entry.happened_at >= c.back_at AND (c.gone_at IS NULL OR entry.happened_at <= c.gone_at)
      AND NOT {superseded}
), cost AS (
    SELECT l.line_id,
           (SELECT coalesce(sum(s.minutes), 0) FROM workorders_stretch s WHERE s.line_id = l.line_id
              AND NOT EXISTS (SELECT FROM workorders_stretchvoid v WHERE v.stretch_id = s.id)
              AND NOT EXISTS (SELECT FROM workorders_stretch x WHERE x.amends_id = s.id)) AS minutes,
           (SELECT count(*) FROM jobparts_partfitted p JOIN vessels_logentry entry ON entry.id = p.entry_id
             WHERE p.line_id = l.line_id AND NOT {superseded}) AS fitted,
           (SELECT coalesce(sum(round(c.quantity * c.unit_price, %(places)s)), 0) FROM workorders_charge c
             WHERE c.line_id = l.line_id AND c.kind = 'part' AND c.struck_at IS NULL) AS parts
    FROM (SELECT DISTINCT line_id FROM answered WHERE line_id IS NOT NULL) l
)
"""


@dataclass(frozen=True, kw_only=True)
class Comebacks:
    """Repairs of some days by what came of them, and what those that came back cost: minutes, parts, their charges."""

    repairs: int
    came_back: int
    same_job: int
    in_doubt: int
    late: int
    held: int
    unknown: int
    no_job: int
    returns: int
    unanswered: int
    minutes: int
    fitted: int
    parts: Decimal
    share: str = ""
    why_no_share: str = ""

    @property
    def counted(self) -> int:
        """Repairs under a job that were not seen to fail on that very job."""
        return self.repairs - self.no_job - self.same_job


@dataclass(frozen=True, kw_only=True)
class Comeback:
    """One fault that came back, and what its lines on other jobs cost since; None where no line is known."""

    fault_id: int
    system: str
    code: str
    vessel: str
    vessel_id: int
    job: int
    repaired_at: datetime | None
    back_at: datetime
    gap_hours: Decimal | None
    gap_days: int | None
    jobs: Sequence[int]
    lines: int
    minutes: int | None
    fitted: int | None
    parts: Decimal | None


def comebacks(period: Period, hold_hours: Decimal, places: int) -> Comebacks:
    """What came of the repairs of these days: two queries.

    ``share`` is how many of a hundred come back within the hold, with bounds that allow that repairs of one hull
    resemble each other; empty where there are too few, with the reason.
    """
    asked = {"begin": period.begin, "end": period.end, "places": places}
    found: dict[str, Any] = rows_as_asked(dict, _asked_for(_COUNTS), asked)[0]
    held = rows_as_asked(_Held, _asked_for(_HELD), asked)
    share, why = _share(held, float(hold_hours))
    return Comebacks(**found, share=share, why_no_share=why)


def comebacks_behind(period: Period, places: int, start: int, most: int | None) -> list[Comeback]:
    """Each fault that came back, the last first; one more than ``most`` where there are."""
    asked = {"begin": period.begin, "end": period.end, "places": places}
    page = {"start": start, "most": None if most is None else most + 1}
    return rows_as_asked(Comeback, _asked_for(_BEHIND), asked | page)


@dataclass(frozen=True, kw_only=True)
class _Held:
    hours: Decimal | None
    least: Decimal | None
    outcome: str
    vessel_id: int
    repairs: int


def _share(found: Sequence[_Held], hold_hours: float) -> tuple[str, str]:
    if any(not is_placed(one.outcome, one.hours) for one in found):
        return "", "A fault came back at hours that nobody read, so that no share can be told."
    held = [
        Held(float(one.hours or 0), one.outcome == "returned", one.repairs, one.vessel_id, float(one.least or 0))
        for one in found
    ]
    curve = holding_curve(held, fewest_at_risk=FEWEST_AT_RISK) if held else NotEnough("")
    point = None if isinstance(curve, NotEnough) else curve.at(hold_hours)
    if point is None:
        return "", "Too few repairs have been followed that long to say how many of all come back."
    least, most = (round((1 - share) * 100) for share in (point.most, point.least))
    low, high = (round((1 - share) * 100) for share in (point.high, point.low))
    words = f"{least}%" if least == most else f"{least}% to {most}%"
    return f"{words} (95% sure: {low}% to {high}%)", ""


def _asked_for(sql: str) -> str:
    return sql.replace("{repairs}", _REPAIRS).replace("{superseded}", SUPERSEDED)


_COUNTS = """{repairs}
SELECT r.*, n.*, k.* FROM (
    SELECT count(*)::int AS repairs,
           count(*) FILTER (WHERE came = 'comeback')::int AS came_back,
           count(*) FILTER (WHERE came = 'same job')::int AS same_job,
           count(*) FILTER (WHERE came = 'in doubt')::int AS in_doubt,
           count(*) FILTER (WHERE came = 'late')::int AS late,
           count(*) FILTER (WHERE came = 'held')::int AS held,
           count(*) FILTER (WHERE came = 'unknown')::int AS unknown,
           count(*) FILTER (WHERE came = 'no job')::int AS no_job
    FROM repairs
) r, (
    SELECT count(*)::int AS returns,
           count(*) FILTER (WHERE NOT EXISTS (
               SELECT FROM answered a WHERE a.back_id = c.back_id AND a.line_id IS NOT NULL))::int AS unanswered
    FROM cured c WHERE came = 'comeback'
) n, (
    SELECT coalesce(sum(minutes), 0)::int AS minutes, coalesce(sum(fitted), 0)::int AS fitted,
           coalesce(sum(parts), 0) AS parts
    FROM cost
) k
"""
_HELD = """{repairs}
SELECT outcome_hours AS hours, CASE WHEN outcome = 'returned' THEN outcome_least_hours END AS least,
       outcome, vessel_id, count(*)::int AS repairs
FROM repairs WHERE came NOT IN ('no job', 'same job') GROUP BY 1, 2, 3, 4
"""
_BEHIND = """{repairs}
SELECT c.fault_id, c.system, c.code, v.name AS vessel, c.vessel_id, j.number AS job, c.repaired_at, c.back_at,
       c.gap_hours, c.gap_days,
       ARRAY(SELECT DISTINCT o.number FROM answered a JOIN workorders_job o ON o.id = a.job_id
             WHERE a.back_id = c.back_id ORDER BY 1) AS jobs,
       (SELECT count(DISTINCT line_id) FROM answered a WHERE a.back_id = c.back_id)::int AS lines,
       sums.minutes, sums.fitted, sums.parts
FROM cured c
JOIN vessels_vessel v ON v.id = c.vessel_id
JOIN workorders_job j ON j.id = c.job_id
LEFT JOIN LATERAL (
    SELECT sum(minutes)::int AS minutes, sum(fitted)::int AS fitted, sum(parts) AS parts
    FROM cost WHERE line_id IN (SELECT line_id FROM answered a WHERE a.back_id = c.back_id)
) sums ON TRUE
WHERE c.came = 'comeback'
ORDER BY c.back_at DESC, c.fault_id OFFSET %(start)s LIMIT %(most)s::bigint
"""
