"""Open jobs that were promised: on a day of a week, and those whose promise is at risk."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from typing import NamedTuple

from django.utils import timezone

from shopfloor.week.labor import LABOR_OF_JOB, worked_on
from shopfloor.week.risks import BEFORE_IT_IS_READY, SOON, Facts, Planned, risks
from vessels.models.hulls import vessel_words
from web.rows import rows
from workorders.appointments.kinds import Kind
from workorders.appointments.times import MOST_DAYS
from workorders.queries.jobs import OPEN_IN_SQL
from workorders.states import JobState

MOST_PROMISED, MOST_LOOKED_AT = 100, 200


class Risk(NamedTuple):
    """A promise at risk, by the key of its job, and why."""

    job_id: int
    promised_on: date
    reasons: Sequence[str]


class Promised(NamedTuple):
    """An open job that was promised, with its boat and its technician."""

    pk: int
    number: int
    state: str
    promised_on: date
    vessel_id: int
    name: str
    maker: str
    model: str
    technician: str

    @property
    def vessel(self) -> str:
        """How the boat is called."""
        return vessel_words(self.name, self.maker, self.model, self.vessel_id)


@dataclass(frozen=True)
class AtRisk:
    """A job whose promise is at risk, and why. ``is_past``: whether its day is over."""

    job: Promised
    reasons: Sequence[str]
    is_past: bool


@dataclass(frozen=True)
class Risks:
    """The promises at risk, the earliest day first; ``is_cut`` where more jobs were promised than are looked at."""

    promises: Sequence[Risk]
    is_cut: bool = False

    def first(self, few: int) -> list[AtRisk]:
        """The first of them, their jobs with boat and technician, in one query."""
        shown = self.promises[:few]
        asked = {"jobs": [one.job_id for one in shown]}
        known = {one.pk: one for one in rows(Promised, f"{_PROMISED} AND job.id = ANY(%(jobs)s::bigint[])", asked)}
        today = timezone.localdate()
        return [
            AtRisk(job, one.reasons, job.promised_on < today and job.state != JobState.READY)
            for one in shown
            if (job := known.get(one.job_id)) is not None
        ]


_PROMISED = f"""
    SELECT job.id AS pk, job.number, job.state, job.promised_on, job.vessel_id, vessel.name, vessel.maker, vessel.model,
           COALESCE(technician.name, '') AS technician
    FROM workorders_job job JOIN vessels_vessel vessel ON vessel.id = job.vessel_id
    LEFT JOIN staff_person technician ON technician.id = job.technician_id
    WHERE job.state IN ({OPEN_IN_SQL}) AND job.promised_on IS NOT NULL
"""  # noqa: S608  (put together from what the program says)
_ON_DAYS = f"""
    {_PROMISED} AND job.promised_on BETWEEN %(first)s::date AND %(last)s::date
    ORDER BY job.promised_on, job.number LIMIT {MOST_PROMISED}
"""


def promised_between(first: date, last: date) -> list[Promised]:
    """Open jobs that were promised for these days, with boat and technician, at most ``MOST_PROMISED``."""
    return rows(Promised, _ON_DAYS, {"first": first, "last": last})


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
    SELECT job.id AS pk, job.state, job.promised_on, job.technician_id, labor.hours, labor.has_more,
           ARRAY(SELECT part.expected_on FROM jobparts_awaitedpart part
                 WHERE part.job_id = job.id AND part.arrived_at IS NULL AND part.canceled_at IS NULL) AS parts,
           ARRAY(SELECT kind FROM planned WHERE planned.job_id = job.id ORDER BY day, id) AS kinds,
           ARRAY(SELECT day FROM planned WHERE planned.job_id = job.id ORDER BY day, id) AS firsts,
           ARRAY(SELECT last FROM planned WHERE planned.job_id = job.id ORDER BY day, id) AS lasts
    FROM workorders_job job LEFT JOIN LATERAL ({LABOR_OF_JOB}) labor ON %(with_hours)s::boolean
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


class _LookedAt(NamedTuple):
    pk: int
    state: str
    promised_on: date
    technician_id: int | None
    hours: Decimal | None
    has_more: bool | None
    parts: list[date | None]
    kinds: list[str]
    firsts: list[date]
    lasts: list[date]


def at_risk(
    today: date, jobs: Sequence[int] | None = None, *, most: int = MOST_LOOKED_AT, with_hours: bool = True
) -> Risks:
    """The promises at risk, the earliest day first, in at most two queries. At most ``most`` are looked at.

    Without hours, in one, nothing is said of the labor that is left. Of the jobs no more is read than that. Hours
    worked are asked for where an estimate names hours.
    """
    asked = {
        "today": today,
        "since": today - timedelta(days=MOST_DAYS + 1),
        "jobs": None if jobs is None else list(jobs),
        "soon": today + SOON,
        "most": most + 1,
        "with_hours": with_hours,
    }
    looked_at = rows(_LookedAt, _LOOKED_AT, asked)
    is_cut = len(looked_at) > most
    looked_at = looked_at[:most]
    worked = worked_on([job.pk for job in looked_at if job.hours])
    told = []
    for job in looked_at:
        facts = Facts(
            state=JobState(job.state),
            promised_on=job.promised_on,
            has_technician=job.technician_id is not None,
            parts=job.parts,
            planned=list(map(Planned, job.kinds, job.firsts, job.lasts)),
            estimated=job.hours or None,
            is_all_estimated=not job.has_more,
            worked=round(Decimal(worked.get(job.pk, 0)) / 60, 2),
        )
        reasons = risks(facts, today)
        if reasons:
            told.append(Risk(job.pk, job.promised_on, reasons))
    return Risks(told, is_cut)
