"""Open jobs that were promised: on a day of a week, and those whose promise is at risk."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from typing import NamedTuple

from shopfloor.week.labor import estimated_labor, worked_on
from shopfloor.week.risks import BEFORE_IT_IS_READY, SOON, Facts, Planned, risks
from web.rows import rows
from workorders.appointments.kinds import Kind
from workorders.appointments.times import MOST_DAYS
from workorders.models import Job
from workorders.queries.jobs import OPEN_IN_SQL, OPEN_STATES
from workorders.states import JobState

MOST_PROMISED, MOST_LOOKED_AT = 100, 200


class Risk(NamedTuple):
    """A promise at risk, by the key of its job, and why."""

    job_id: int
    promised_on: date
    reasons: Sequence[str]


@dataclass(frozen=True)
class AtRisk:
    """A job whose promise is at risk, and why."""

    job: Job
    reasons: Sequence[str]

    @property
    def is_past(self) -> bool:
        """Whether its day is over."""
        return self.job.is_overdue


@dataclass(frozen=True)
class Risks:
    """The promises at risk, the earliest day first; ``is_cut`` where more jobs were promised than are looked at."""

    promises: Sequence[Risk]
    is_cut: bool = False

    def first(self, few: int) -> list[AtRisk]:
        """The first of them, their jobs with boat and technician, in one query."""
        shown = self.promises[:few]
        known = Job.objects.select_related("vessel", "technician").in_bulk([one.job_id for one in shown])
        return [AtRisk(known[one.job_id], one.reasons) for one in shown if one.job_id in known]


def promised_between(first: date, last: date) -> list[Job]:
    """Open jobs that were promised for these days, with boat and technician, at most ``MOST_PROMISED``."""
    found = Job.objects.filter(state__in=OPEN_STATES, promised_on__range=(first, last))
    return list(found.select_related("vessel", "technician").order_by("promised_on", "number")[:MOST_PROMISED])


_KINDS = ", ".join(f"'{kind}'" for kind in BEFORE_IT_IS_READY)
_LOOKED_AT = f"""
    WITH planned AS MATERIALIZED (
        SELECT one.kind, one.day, one.day + one.days - 1 AS last, one.id,
               COALESCE(one.job_id, (SELECT min(its.id) FROM workorders_job its
                                     WHERE its.vessel_id = one.vessel_id AND its.state IN ({OPEN_IN_SQL})
                                     HAVING count(*) = 1)) AS job_id
        FROM appointments_appointment one
        WHERE one.state = 'planned' AND one.kind IN ({_KINDS}) AND one.starts_at >= %(since)s::date
          AND one.day + one.days > %(today)s::date AND (one.job_id IS NOT NULL OR one.kind = '{Kind.SEA_TRIAL}')
    )
    SELECT job.id AS pk, job.state, job.promised_on, job.technician_id,
           ARRAY(SELECT part.expected_on FROM jobparts_awaitedpart part
                 WHERE part.job_id = job.id AND part.arrived_at IS NULL AND part.canceled_at IS NULL) AS parts,
           ARRAY(SELECT kind FROM planned WHERE planned.job_id = job.id ORDER BY day, id) AS kinds,
           ARRAY(SELECT day FROM planned WHERE planned.job_id = job.id ORDER BY day, id) AS firsts,
           ARRAY(SELECT last FROM planned WHERE planned.job_id = job.id ORDER BY day, id) AS lasts
    FROM workorders_job job
    WHERE job.state IN ({OPEN_IN_SQL}) AND job.state <> '{JobState.READY}' AND job.promised_on IS NOT NULL
      AND (%(jobs)s::bigint[] IS NULL OR job.id = ANY(%(jobs)s::bigint[]))
      AND (job.promised_on <= %(soon)s::date
           OR EXISTS (SELECT FROM jobparts_awaitedpart late WHERE late.job_id = job.id AND late.arrived_at IS NULL
                      AND late.canceled_at IS NULL AND late.expected_on > job.promised_on)
           OR EXISTS (SELECT FROM planned WHERE planned.job_id = job.id AND planned.last > job.promised_on))
    ORDER BY job.promised_on, job.number LIMIT %(most)s
"""  # noqa: S608  (put together from what the program says)
"""Open jobs that are not ready, promised soon or before a part comes or something is planned, with the days of these.

A sea trial that was planned for a boat alone is that of its open job, where it has one and no more."""


class _Promised(NamedTuple):
    pk: int
    state: str
    promised_on: date
    technician_id: int | None
    parts: list[date | None]
    kinds: list[str]
    firsts: list[date]
    lasts: list[date]


def at_risk(
    today: date, jobs: Sequence[int] | None = None, *, most: int = MOST_LOOKED_AT, with_hours: bool = True
) -> Risks:
    """The promises at risk, the earliest day first, in at most three queries. At most ``most`` are looked at.

    Without hours, in one, nothing is said of the labor that is left. Of the jobs no more is read than that. Hours
    worked are asked for where an estimate names hours.
    """
    asked = {
        "today": today,
        "since": today - timedelta(days=MOST_DAYS + 1),
        "jobs": None if jobs is None else list(jobs),
        "soon": today + SOON,
        "most": most + 1,
    }
    looked_at = rows(_Promised, _LOOKED_AT, asked)
    is_cut = len(looked_at) > most
    looked_at = looked_at[:most]
    estimated = estimated_labor([job.pk for job in looked_at]) if with_hours else {}
    worked = worked_on([one.job_id for one in estimated.values() if one.hours])
    told = []
    for job in looked_at:
        labor = estimated.get(job.pk)
        facts = Facts(
            state=JobState(job.state),
            promised_on=job.promised_on,
            has_technician=job.technician_id is not None,
            parts=job.parts,
            planned=list(map(Planned, job.kinds, job.firsts, job.lasts)),
            estimated=labor.hours if labor is not None and labor.hours else None,
            is_all_estimated=labor is None or not labor.has_more,
            worked=round(Decimal(worked.get(job.pk, 0)) / 60, 2),
        )
        reasons = risks(facts, today)
        if reasons:
            told.append(Risk(job.pk, job.promised_on, reasons))
    return Risks(told, is_cut)
