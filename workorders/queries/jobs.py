"""Jobs in lists: each with what its row shows, in a fixed number of queries."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import NamedTuple

from django.db.models import Count, F, OuterRef, Q, QuerySet, Subquery
from django.db.models.functions import Coalesce

from staff.models import Person
from vessels.models import Vessel
from workorders.models import Job, JobLine
from workorders.states import OPEN, JobState

OPEN_STATES = [state.value for state in OPEN]
PAGE_SIZE = 40


def past_promise(today: date) -> Q:
    """Jobs past their promised day and not ready yet: what ``Job.is_overdue`` says, for a query over open jobs."""
    return Q(promised_on__lt=today) & ~Q(state=JobState.READY)


def with_people(jobs: QuerySet[Job]) -> QuerySet[Job]:
    """Jobs with vessel, owner, customer, technician, and ``first_concern`` and ``line_count`` for a row."""
    lines = JobLine.objects.filter(job=OuterRef("pk")).order_by("position")
    counted = lines.order_by().values("job").annotate(count=Count("pk")).values("count")
    return jobs.select_related("vessel__owner", "customer", "technician").annotate(
        first_concern=Subquery(lines.values("concern")[:1]), line_count=Coalesce(Subquery(counted), 0)
    )


def open_jobs(person: Person | None = None) -> QuerySet[Job]:
    """Jobs that are neither closed nor canceled, those promised first on top; those of one technician if asked."""
    jobs = with_people(Job.objects.filter(state__in=OPEN_STATES))
    if person is not None:
        jobs = jobs.filter(technician=person)
    return jobs.order_by(F("promised_on").asc(nulls_last=True), "number")


def jobs_of_vessel(vessel: Vessel) -> QuerySet[Job]:
    """Every job of a vessel, newest first."""
    return with_people(Job.objects.filter(vessel=vessel)).order_by("-number")


@dataclass(frozen=True)
class JobPage:
    """One page of jobs by number, newest first. The cursors are job numbers, where more lies beyond."""

    jobs: list[Job]
    newer: int | None
    older: int | None


def job_page(
    jobs: QuerySet[Job], *, before: int | None = None, after: int | None = None, size: int = PAGE_SIZE
) -> JobPage:
    """The jobs before a number, or after one, or the newest."""
    if after is not None:
        found = list(jobs.filter(number__gt=after).order_by("number")[: size + 1])
        if len(found) > size:
            rows = found[:size][::-1]
            return JobPage(rows, newer=rows[0].number, older=rows[-1].number)
        before = None
    older = jobs.filter(number__lt=before) if before is not None else jobs
    found = list(older.order_by("-number")[: size + 1])
    rows = found[:size]
    return JobPage(
        rows,
        newer=rows[0].number if before is not None and rows else None,
        older=rows[-1].number if len(found) > size else None,
    )


class Place(NamedTuple):
    """Where a boat lay."""

    location: str
    spot: str


def usual_place(vessel: Vessel) -> Place | None:
    """Where a boat lay last time it was with us, at its usual berth where it has one; None where it never was."""
    jobs = vessel.jobs.exclude(location="away").order_by("-number").values_list("location", "spot")
    if vessel.berth:
        jobs = jobs.filter(spot__iexact=vessel.berth)
    before = jobs.first()
    return Place(*before) if before else None
