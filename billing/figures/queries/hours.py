"""Hours worked, and what became of them.

Every minute that counts is in exactly one place: it stands in a charge, in a charge that was credited, on a line of
which the labor was charged by hand, or in none, on a job that is open or that has ended.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from billing.figures.period import Period
from vessels.log.evidence import SUPERSEDED
from web.rows import rows_as_asked
from workorders.models import ENDED
from workorders.reckoning import shared

KINDS = {
    "service": "Service of a plan",
    "fault": "Work on fault codes",
    "both": "Service and fault codes on one line",
    "other": "Other work",
}
HUNDREDTH = Decimal("0.01")

_WORKED = """
WITH worked AS MATERIALIZED (
    SELECT s.id, s.root_id, s.person_id, s.line_id, s.minutes
    FROM workorders_stretch s
    WHERE s.day BETWEEN %(first)s AND %(last)s AND s.minutes IS NOT NULL
      AND NOT EXISTS (SELECT FROM workorders_stretchvoid v WHERE v.stretch_id = s.id)
      AND NOT EXISTS (SELECT FROM workorders_stretch later WHERE later.amends_id = s.id)
), lines AS MATERIALIZED (
    SELECT l.id, j.number, j.state = ANY(%(ended)s) AS has_ended,
           EXISTS (SELECT FROM upkeep_plannedline p WHERE p.line_id = l.id)
           OR EXISTS (SELECT FROM upkeep_servicedone d JOIN vessels_logentry entry ON entry.id = d.entry_id
                      WHERE d.line_id = l.id AND NOT {superseded}) AS is_service,
           EXISTS (SELECT FROM faults_workdone d JOIN vessels_logentry entry ON entry.id = d.entry_id
                   WHERE d.line_id = l.id AND NOT {superseded}) AS is_fault,
           EXISTS (SELECT FROM workorders_charge c WHERE c.line_id = l.id AND {by_hand}) AS by_hand
    FROM (SELECT DISTINCT line_id FROM worked) w
    CROSS JOIN LATERAL (SELECT id, job_id FROM workorders_jobline WHERE id = w.line_id OFFSET 0) l
    CROSS JOIN LATERAL (SELECT number, state FROM workorders_job WHERE id = l.job_id OFFSET 0) j
), stands AS (
    SELECT w.root_id, so.charge_id, so.minutes, c.quantity, cr.id IS NOT NULL AS is_credited
    FROM worked w
    CROSS JOIN LATERAL (SELECT one.charge_id, one.minutes FROM workorders_sold one
                        LEFT JOIN invoices_creditedcharge back ON back.charge_id = one.charge_id
                        WHERE one.root_id = w.root_id AND (one.freed_at IS NULL OR back.id IS NOT NULL)
                        ORDER BY one.freed_at IS NULL DESC, one.id DESC LIMIT 1) so
    JOIN workorders_charge c ON c.id = so.charge_id
    LEFT JOIN invoices_creditedcharge cr ON cr.charge_id = so.charge_id
), whole AS (
    SELECT charge_id, (SELECT sum(so.minutes) FROM workorders_sold so
                       WHERE so.charge_id = s.charge_id AND so.freed_at IS NULL) AS minutes
    FROM (SELECT DISTINCT charge_id FROM stands) s
), each AS (
    SELECT w.person_id, l.number AS job, w.minutes,
           CASE WHEN l.is_service AND l.is_fault THEN 'both' WHEN l.is_service THEN 'service'
                WHEN l.is_fault THEN 'fault' ELSE 'other' END AS kind,
           CASE WHEN st.is_credited THEN 'credited' WHEN st.charge_id IS NOT NULL THEN 'sold'
                WHEN l.by_hand THEN 'by_hand' WHEN l.has_ended THEN 'ended' ELSE 'open' END AS place,
           CASE WHEN NOT st.is_credited THEN st.quantity * st.minutes / whole.minutes END AS hours
    FROM worked w
    JOIN lines l ON l.id = w.line_id
    LEFT JOIN stands st ON st.root_id = w.root_id
    LEFT JOIN whole ON whole.charge_id = st.charge_id
)
"""
_BY_HAND = """c.kind = 'labor' AND c.struck_at IS NULL
    AND (SELECT so.id FROM workorders_sold so WHERE so.charge_id = c.id AND so.freed_at IS NULL LIMIT 1) IS NULL
    AND (SELECT cr.id FROM invoices_creditedcharge cr WHERE cr.charge_id = c.id LIMIT 1) IS NULL"""
"""Of few charges each is looked up: asked with EXISTS, the database reads all that were ever sold."""
_SUMS = """
    coalesce(sum(minutes), 0)::int AS minutes,
    coalesce(sum(minutes) FILTER (WHERE place = 'sold'), 0)::int AS sold,
    coalesce(sum(minutes) FILTER (WHERE place = 'credited'), 0)::int AS credited,
    coalesce(sum(minutes) FILTER (WHERE place = 'by_hand'), 0)::int AS by_hand,
    coalesce(sum(minutes) FILTER (WHERE place = 'open'), 0)::int AS open,
    coalesce(sum(minutes) FILTER (WHERE place = 'ended'), 0)::int AS ended,
    coalesce(sum(hours), 0) AS hours"""


@dataclass(frozen=True, kw_only=True)
class Worked:
    """Minutes worked and where they stand; ``hours`` are those of the charges that they stand in, as sold."""

    minutes: int
    sold: int
    credited: int
    by_hand: int
    open: int
    ended: int
    hours: Decimal
    person: int | None = None
    name: str = ""
    kind: str = ""
    job: int | None = None
    vessel: str = ""
    vessel_id: int | None = None


@dataclass(frozen=True, kw_only=True)
class Besides:
    """What is in no sum: clocks of which the end is not known, and labor that was charged by hand."""

    running: int
    left: int
    charges: int
    quantity: Decimal
    alone: int
    """Of these charges, those on a line on which nobody's hours are on record, or on none."""


@dataclass(frozen=True)
class HoursWorked:
    """All of it: the whole, by person and by kind of work, and each person on each job."""

    whole: Worked
    people: Sequence[Worked]
    kinds: Sequence[Worked]
    besides: Besides
    behind: Sequence[Worked]


def hours_worked(period: Period, start: int = 0, most: int | None = 0) -> HoursWorked:
    """What became of the hours of these days, with a part of the rows behind it: two queries."""
    found = _found(period, start, most)
    groups = [one for one in found if one.job is None]
    whole = next(one for one in groups if one.person is None and not one.kind)
    people, kinds = [one for one in groups if one.person is not None], [one for one in groups if one.kind]
    whole = _with_hours([whole], whole.hours)[0]
    (besides,) = rows_as_asked(Besides, _asked_for(_BESIDES), _asked(period))
    behind = [one for one in found if one.job is not None]
    people, kinds = _with_hours(people, whole.hours), _with_hours(kinds, whole.hours)
    return HoursWorked(whole, people, kinds, besides, behind)


def hours_behind(period: Period, start: int, most: int | None) -> list[Worked]:
    """The rows behind it: each person's hours on each job, the most first; one more than ``most`` where there are."""
    return [one for one in _found(period, start, most) if one.job is not None]


def _found(period: Period, start: int, most: int | None) -> list[Worked]:
    page = {"start": start, "most": None if most is None else most + 1}
    return rows_as_asked(Worked, _asked_for(_GROUPS), _asked(period) | page)


def _with_hours(groups: Sequence[Worked], total: Decimal) -> list[Worked]:
    """The same with hours to two places that add up to the total."""
    if not total:
        return list(groups)
    shares = shared(total.quantize(HUNDREDTH), [one.hours for one in groups], HUNDREDTH)
    return [Worked(**{**vars(one), "hours": hours}) for one, hours in zip(groups, shares, strict=True)]


def _asked(period: Period) -> dict[str, object]:
    return {
        "first": period.first, "last": period.last, "begin": period.begin, "end": period.end, "ended": list(ENDED),
    }  # fmt: skip


def _asked_for(sql: str) -> str:
    return sql.replace("{worked}", _WORKED).replace("{by_hand}", _BY_HAND).replace("{superseded}", SUPERSEDED)


_GROUPS = f"""{{worked}}
, grouped AS MATERIALIZED (
    SELECT person_id AS person, coalesce(kind, '') AS kind, job, {_SUMS}
    FROM each GROUP BY GROUPING SETS ((person_id), (kind), (), (person_id, job))
), shown AS (
    SELECT * FROM grouped WHERE job IS NULL
    UNION ALL
    (SELECT * FROM grouped WHERE job IS NOT NULL
     ORDER BY minutes DESC, job DESC, person OFFSET %(start)s LIMIT %(most)s::bigint)
)
SELECT s.*, coalesce(p.name, '') AS name, coalesce(v.name, '') AS vessel, v.id AS vessel_id
FROM shown s
LEFT JOIN staff_person p ON p.id = s.person
LEFT JOIN workorders_job j ON j.number = s.job
LEFT JOIN vessels_vessel v ON v.id = j.vessel_id
ORDER BY s.minutes DESC, s.job DESC, s.person, s.kind
"""  # noqa: S608  (nothing but the program's own words)
_BESIDES = """
WITH unknown AS (
    SELECT s.is_open FROM workorders_stretch s
    WHERE s.minutes IS NULL AND s.day BETWEEN %(first)s AND %(last)s
      AND NOT EXISTS (SELECT FROM workorders_stretchvoid v WHERE v.stretch_id = s.id)
      AND NOT EXISTS (SELECT FROM workorders_stretch later WHERE later.amends_id = s.id)
), typed AS (
    SELECT c.quantity,
           (SELECT s.id FROM workorders_stretch s WHERE s.line_id = c.line_id
              AND NOT EXISTS (SELECT FROM workorders_stretchvoid v WHERE v.stretch_id = s.id) LIMIT 1) IS NULL
           AS is_alone
    FROM workorders_charge c
    WHERE c.added_at >= %(begin)s AND c.added_at < %(end)s AND {by_hand}
)
SELECT (SELECT count(*) FROM unknown WHERE is_open) AS running,
       (SELECT count(*) FROM unknown WHERE NOT is_open) AS "left",
       count(*) AS charges, coalesce(sum(quantity), 0) AS quantity, count(*) FILTER (WHERE is_alone) AS alone
FROM typed
"""
