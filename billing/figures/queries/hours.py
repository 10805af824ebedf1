"""Hours worked, and what became of them.

Every minute that counts is in exactly one place: it stands in a charge, in a charge that was credited, on a line of
which, or of the job of which, labor was charged by hand, or in none, on a job that is open or that has ended.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, fields
from decimal import Decimal
from typing import Any, TypeVar

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
T = TypeVar("T")

_WORKED = """
WITH worked AS MATERIALIZED (
    SELECT s.root_id, s.person_id, s.line_id, s.minutes
    FROM workorders_stretch s
    WHERE s.day BETWEEN %(first)s AND %(last)s AND s.minutes IS NOT NULL
      AND s.id NOT IN (SELECT v.stretch_id FROM workorders_stretchvoid v
                       JOIN workorders_stretch its ON its.id = v.stretch_id AND its.day BETWEEN %(first)s AND %(last)s)
      AND NOT EXISTS (SELECT FROM workorders_stretch later WHERE later.amends_id IS NOT NULL AND later.amends_id = s.id)
), lines AS MATERIALIZED (
    SELECT l.id, l.job_id FROM (SELECT DISTINCT line_id FROM worked) w
    CROSS JOIN LATERAL (SELECT id, job_id FROM workorders_jobline WHERE id = w.line_id OFFSET 0) l
), service AS MATERIALIZED (
    SELECT p.line_id FROM upkeep_plannedline p WHERE p.line_id IN (SELECT id FROM lines)
    UNION
    SELECT d.line_id FROM upkeep_servicedone d JOIN vessels_logentry entry ON entry.id = d.entry_id
    WHERE d.line_id IN (SELECT id FROM lines) AND NOT {superseded}
), fault AS MATERIALIZED (
    SELECT DISTINCT d.line_id FROM faults_workdone d JOIN vessels_logentry entry ON entry.id = d.entry_id
    WHERE d.line_id IN (SELECT id FROM lines) AND NOT {superseded}
), labor AS MATERIALIZED (
    SELECT l.id AS line_id, c.id AS charge_id, c.quantity, c.is_credited, so.root_id, so.minutes,
           sum(so.minutes) OVER (PARTITION BY c.id) AS whole
    FROM lines l
    CROSS JOIN LATERAL (SELECT c.id, c.quantity, ({credited}) IS NOT NULL AS is_credited FROM workorders_charge c
                        WHERE c.line_id = l.id AND c.kind = 'labor' AND c.struck_at IS NULL OFFSET 0) c
    LEFT JOIN LATERAL (SELECT root_id, minutes FROM workorders_sold
                       WHERE charge_id = c.id AND freed_at IS NULL OFFSET 0) so ON true
), charges AS (
    SELECT DISTINCT charge_id, root_id IS NULL AND NOT is_credited AS by_hand FROM labor
), astray AS MATERIALIZED (
    SELECT so.root_id, so.charge_id, so.minutes, so.freed_at, so.id,
           EXISTS (SELECT FROM invoices_creditedcharge back WHERE back.charge_id = so.charge_id) AS is_credited
    FROM (SELECT root_id FROM worked EXCEPT SELECT root_id FROM labor) w
    CROSS JOIN LATERAL (SELECT * FROM workorders_sold one WHERE one.root_id = w.root_id OFFSET 0) so
), elsewhere AS (
    SELECT so.root_id, so.is_credited, c.quantity, so.minutes,
           (SELECT sum(one.minutes) FROM workorders_sold one
            WHERE one.charge_id = so.charge_id AND one.freed_at IS NULL) AS whole
    FROM (SELECT DISTINCT ON (root_id) * FROM astray WHERE freed_at IS NULL OR is_credited
          ORDER BY root_id, freed_at IS NULL DESC, id DESC) so
    CROSS JOIN LATERAL (SELECT quantity FROM workorders_charge WHERE id = so.charge_id OFFSET 0) c
), stands AS (
    SELECT root_id, is_credited, CASE WHEN NOT is_credited THEN quantity * minutes / whole END AS hours
    FROM labor WHERE root_id IS NOT NULL
    UNION ALL
    SELECT root_id, is_credited, CASE WHEN NOT is_credited THEN quantity * minutes / whole END FROM elsewhere
), known_lines AS MATERIALIZED (
    SELECT l.id, l.job_id, CASE WHEN service.line_id IS NOT NULL AND fault.line_id IS NOT NULL THEN 'both'
                                WHEN service.line_id IS NOT NULL THEN 'service'
                                WHEN fault.line_id IS NOT NULL THEN 'fault' ELSE 'other' END AS kind,
           l.id IN (SELECT line_id FROM labor WHERE root_id IS NULL AND NOT is_credited)
           OR l.job_id IN (SELECT c.job_id FROM workorders_charge c
                           WHERE c.line_id IS NULL AND c.kind = 'labor' AND c.struck_at IS NULL
                             AND c.job_id IN (SELECT job_id FROM lines)) AS is_typed
    FROM lines l LEFT JOIN service ON service.line_id = l.id LEFT JOIN fault ON fault.line_id = l.id
), each AS MATERIALIZED (
    SELECT w.person_id, l.job_id, w.minutes, st.hours, l.kind,
           CASE WHEN st.is_credited THEN 'credited' WHEN st.root_id IS NOT NULL THEN 'sold'
                WHEN l.is_typed THEN 'by_hand'
                WHEN (SELECT state FROM workorders_job WHERE id = l.job_id) = ANY(%(ended)s) THEN 'ended'
                ELSE 'open' END AS place
    FROM worked w JOIN known_lines l ON l.id = w.line_id LEFT JOIN stands st ON st.root_id = w.root_id
)
"""
"""Most hours stand in a charge of the line they were worked on: ``labor`` has those with one look at each line and one
at each of its charges, and only what is not found so is looked up stretch by stretch, ``astray``. ``OFFSET 0`` has the
database look each up: it would read all that was ever sold otherwise. What is rare (services, work on codes, labor for
a whole job) is found for all lines at once."""
_CREDITED = "SELECT cr.id FROM invoices_creditedcharge cr WHERE cr.charge_id = c.id LIMIT 1"
_BY_HAND = """(SELECT so.id FROM workorders_sold so WHERE so.charge_id = c.id AND so.freed_at IS NULL LIMIT 1) IS NULL
    AND ({credited}) IS NULL"""
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
    """What became of the hours of these days, with a part of the rows behind it: one query."""
    read = _read(period, start, most, _with_besides)
    found, besides = [one for one, _ in read], read[0][1]
    groups = [one for one in found if one.job is None]
    whole = next(one for one in groups if one.person is None and not one.kind)
    people, kinds = [one for one in groups if one.person is not None], [one for one in groups if one.kind]
    whole = _with_hours([whole], whole.hours)[0]
    behind = [one for one in found if one.job is not None]
    people, kinds = _with_hours(people, whole.hours), _with_hours(kinds, whole.hours)
    return HoursWorked(whole, people, kinds, besides, behind)


def hours_behind(period: Period, start: int, most: int | None) -> list[Worked]:
    """The rows behind it: each person's hours on each job, the most first; one more than ``most`` where there are."""
    return [one for one in _read(period, start, most, Worked) if one.job is not None]


def _read(period: Period, start: int, most: int | None, made: Callable[..., T]) -> list[T]:
    page = {"start": start, "most": None if most is None else most + 1}
    besides = _BESIDES if made is _with_besides else NOTHING_BESIDES
    return rows_as_asked(made, _asked_for(_GROUPS, besides), _asked(period) | page)


def _with_besides(**row: Any) -> tuple[Worked, Besides]:
    besides = Besides(**{field.name: row.pop(field.name) for field in fields(Besides)})
    return Worked(**row), besides


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


def _asked_for(sql: str, besides: dict[str, str]) -> str:
    parts = {"worked": _WORKED, **besides, "by_hand": _BY_HAND, "credited": _CREDITED, "superseded": SUPERSEDED}
    for name, part in parts.items():
        sql = sql.replace(f"{{{name}}}", part)
    return sql


_GROUPS = f"""{{worked}}
, few AS (
    SELECT person_id, kind, place, sum(minutes) AS minutes, sum(hours) AS hours FROM each GROUP BY 1, 2, 3
), pairs AS (
    SELECT person_id, job_id FROM each GROUP BY 1, 2
    ORDER BY sum(minutes) DESC, job_id DESC, person_id OFFSET %(start)s LIMIT %(most)s::bigint
), shown AS (
    SELECT person_id AS person, coalesce(kind, '') AS kind, NULL::bigint AS job_id, {_SUMS}
    FROM few GROUP BY GROUPING SETS ((person_id), (kind), ())
    UNION ALL
    SELECT person_id, '', job_id, {_SUMS} FROM pairs JOIN each USING (person_id, job_id) GROUP BY 1, 3
){{besides}}
SELECT s.person, s.kind, j.number AS job, s.minutes, s.sold, s.credited, s.by_hand, s.open, s.ended, s.hours,
       coalesce(p.name, '') AS name, coalesce(v.name, '') AS vessel, v.id AS vessel_id{{columns}}
FROM shown s{{beside}}
LEFT JOIN staff_person p ON p.id = s.person
LEFT JOIN LATERAL (SELECT number, vessel_id FROM workorders_job WHERE id = s.job_id OFFSET 0) j ON true
LEFT JOIN LATERAL (SELECT id, name FROM vessels_vessel WHERE id = j.vessel_id OFFSET 0) v ON true
ORDER BY s.minutes DESC, s.job_id DESC, s.person, s.kind
"""  # noqa: S608  (nothing but the program's own words)
NOTHING_BESIDES = {"besides": "", "columns": "", "beside": ""}
_BESIDES = {
    "besides": """
, unknown AS (
    SELECT s.is_open FROM workorders_stretch s
    WHERE s.minutes IS NULL AND s.day BETWEEN %(first)s AND %(last)s
      AND NOT EXISTS (SELECT FROM workorders_stretchvoid v WHERE v.stretch_id = s.id)
      AND NOT EXISTS (SELECT FROM workorders_stretch later WHERE later.amends_id IS NOT NULL AND later.amends_id = s.id)
), typed AS (
    SELECT c.quantity, coalesce(c.line_id NOT IN (SELECT id FROM lines), true)
           AND (SELECT s.id FROM workorders_stretch s WHERE s.line_id = c.line_id
                  AND NOT EXISTS (SELECT FROM workorders_stretchvoid v WHERE v.stretch_id = s.id) LIMIT 1) IS NULL
           AS is_alone
    FROM workorders_charge c LEFT JOIN charges known ON known.charge_id = c.id
    WHERE c.added_at >= %(begin)s AND c.added_at < %(end)s AND c.kind = 'labor' AND c.struck_at IS NULL
      AND CASE WHEN known.charge_id IS NULL THEN {by_hand} ELSE known.by_hand END
), beside AS (
    SELECT (SELECT count(*) FROM unknown WHERE is_open) AS running,
           (SELECT count(*) FROM unknown WHERE NOT is_open) AS "left",
           count(*) AS charges, coalesce(sum(quantity), 0) AS quantity, count(*) FILTER (WHERE is_alone) AS alone
    FROM typed
)""",
    "columns": ', b.running, b."left", b.charges, b.quantity, b.alone',
    "beside": "\nCROSS JOIN beside b",
}
"""Most charges of these days are on lines that were worked on in them, and so are known already."""
