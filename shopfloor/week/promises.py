"""Open jobs that were promised: on a day of a week, and those whose promise is at risk."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import Exists, OuterRef, Q

from shopfloor.week.labor import estimated_labor, worked_on
from shopfloor.week.risks import SOON, Facts, risks
from workorders.jobparts.models import AwaitedPart
from workorders.models import Job
from workorders.queries.jobs import OPEN_STATES
from workorders.states import JobState

MOST_PROMISED, MOST_LOOKED_AT = 100, 200


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

    jobs: Sequence[AtRisk]
    is_cut: bool = False

    def first(self, few: int) -> list[AtRisk]:
        """The first of them, their jobs with boat and technician, in one query."""
        shown = self.jobs[:few]
        known = Job.objects.select_related("vessel", "technician").in_bulk([one.job.pk for one in shown])
        return [AtRisk(known[one.job.pk], one.reasons) for one in shown if one.job.pk in known]


def promised_between(first: date, last: date) -> list[Job]:
    """Open jobs that were promised for these days, with boat and technician, at most ``MOST_PROMISED``."""
    found = Job.objects.filter(state__in=OPEN_STATES, promised_on__range=(first, last))
    return list(found.select_related("vessel", "technician").order_by("promised_on", "number")[:MOST_PROMISED])


def _still_awaited() -> Q:
    return Q(Exists(AwaitedPart.objects.filter(job=OuterRef("pk"), arrived_at=None, canceled_at=None,
                                               expected_on__gt=OuterRef("promised_on"))))  # fmt: skip


def at_risk(
    today: date, jobs: Sequence[int] | None = None, *, most: int = MOST_LOOKED_AT, with_hours: bool = True
) -> Risks:
    """The promises at risk, the earliest day first, in four queries. At most ``most`` are looked at.

    Without hours, in two, nothing is said of the labor that is left. Of the jobs no more is read than that.
    """
    found = Job.objects.filter(state__in=OPEN_STATES, promised_on__isnull=False).exclude(state=JobState.READY)
    found = found.filter(Q(promised_on__lte=today + SOON) | _still_awaited())
    if jobs is not None:
        found = found.filter(pk__in=jobs)
    rows = found.only("number", "state", "promised_on", "technician_id").order_by("promised_on", "number")
    looked_at = list(rows[: most + 1])
    is_cut = len(looked_at) > most
    looked_at = looked_at[:most]
    keys = [job.pk for job in looked_at]
    parts: dict[int, list[date | None]] = {}
    awaited = AwaitedPart.objects.filter(job__in=keys, arrived_at=None, canceled_at=None)
    for key, day in awaited.order_by().values_list("job", "expected_on"):
        parts.setdefault(key, []).append(day)
    estimated, worked = (estimated_labor(keys), worked_on(keys)) if with_hours else ({}, {})
    told = []
    for job in looked_at:
        assert job.promised_on is not None  # noqa: S101  (for the type checker: filtered above)
        labor = estimated.get(job.pk)
        facts = Facts(
            state=JobState(job.state),
            promised_on=job.promised_on,
            has_technician=job.technician_id is not None,
            parts=parts.get(job.pk, ()),
            estimated=labor.hours if labor is not None and labor.hours else None,
            is_all_estimated=labor is None or not labor.has_more,
            worked=round(Decimal(worked.get(job.pk, 0)) / 60, 2),
        )
        reasons = risks(facts, today)
        if reasons:
            told.append(AtRisk(job, reasons))
    return Risks(told, is_cut)
