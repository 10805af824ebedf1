"""Hours that were worked, and hours that estimates name: what is known of them, and no more."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import NamedTuple

from web.rows import rows
from workorders.queries.jobs import OPEN_IN_SQL

_COUNTS = """
    stretch.minutes IS NOT NULL
    AND NOT EXISTS (SELECT FROM workorders_stretch later WHERE later.amends_id = stretch.id)
    AND NOT EXISTS (SELECT FROM workorders_stretchvoid void WHERE void.stretch_id = stretch.id)
"""
_WORKED_ON = f"""
    SELECT line.job_id AS job, sum(stretch.minutes)::int AS minutes
    FROM workorders_jobline line JOIN workorders_stretch stretch ON stretch.line_id = line.id
    WHERE line.job_id = ANY(%(jobs)s) AND {_COUNTS} GROUP BY line.job_id
"""  # noqa: S608  (put together from what the program says)
_WORKED_BY_DAY = f"""
    SELECT stretch.person_id AS person, stretch.day, sum(stretch.minutes)::int AS minutes
    FROM workorders_stretch stretch
    WHERE stretch.day BETWEEN %(first)s::date AND %(last)s::date AND {_COUNTS} GROUP BY stretch.person_id, stretch.day
"""  # noqa: S608


class _Worked(NamedTuple):
    job: int
    minutes: int


class _OnDay(NamedTuple):
    person: int
    day: date
    minutes: int


@dataclass(frozen=True)
class Estimated:
    """The labor of the last estimate that was given for a job. ``has_more``: some of it is flat, and in no hours."""

    job_id: int
    hours: Decimal
    has_more: bool


LABOR_OF_JOB = """
    SELECT given.job_id, COALESCE(sum(line.quantity) FILTER (WHERE NOT line.is_flat), 0) AS hours,
           bool_or(line.is_flat OR line.quantity IS NULL) AS has_more
    FROM estimates_estimate given JOIN estimates_estimateline line ON line.estimate_id = given.id
    WHERE given.job_id = job.id AND given.given_at IS NOT NULL AND line.kind = 'labor' AND line.option_id IS NULL
      AND NOT EXISTS (SELECT FROM estimates_estimate later WHERE later.job_id = given.job_id
                      AND later.given_at IS NOT NULL AND later.revision > given.revision)
    GROUP BY given.job_id
"""
"""What the last estimate that was given says of labor without options, for a question over a ``job``."""
_ESTIMATED = f"""
    SELECT labor.* FROM unnest(%(jobs)s::bigint[]) AS job(id) CROSS JOIN LATERAL ({LABOR_OF_JOB}) labor
"""  # noqa: S608


def estimated_labor(jobs: Collection[int]) -> Mapping[int, Estimated]:
    """The hours of labor of these jobs, without options, where an estimate that was given names some: one query."""
    return {one.job_id: one for one in rows(Estimated, _ESTIMATED, {"jobs": list(jobs)})} if jobs else {}


class Ahead(NamedTuple):
    """The open jobs of a technician: how many, of how many an estimate names hours, and these hours in all."""

    person: int
    jobs: int
    named: int
    hours: Decimal


_AHEAD = f"""
    SELECT job.technician_id AS person, count(*) AS jobs, count(*) FILTER (WHERE labor.hours <> 0) AS named,
           COALESCE(sum(labor.hours), 0) AS hours
    FROM workorders_job job LEFT JOIN LATERAL ({LABOR_OF_JOB}) labor ON TRUE
    WHERE job.state IN ({OPEN_IN_SQL}) AND job.technician_id IS NOT NULL GROUP BY job.technician_id
"""  # noqa: S608


def ahead_of_technicians() -> Mapping[int, Ahead]:
    """The open jobs of each technician who has some, by their keys: one query."""
    return {one.person: one for one in rows(Ahead, _AHEAD, {})}


def worked_on(jobs: Collection[int]) -> Mapping[int, int]:
    """The minutes that were worked on these jobs, as far as they are known: one query."""
    return {one.job: one.minutes for one in rows(_Worked, _WORKED_ON, {"jobs": list(jobs)})} if jobs else {}


def worked_by_day(first: date, last: date) -> Mapping[tuple[int, date], int]:
    """The minutes that each person worked on each day, as far as they are known: one query."""
    found = rows(_OnDay, _WORKED_BY_DAY, {"first": first, "last": last})
    return {(one.person, one.day): one.minutes for one in found}
