"""Jobs in lists: each with what its row shows, in a fixed number of queries."""

from __future__ import annotations

from datetime import date
from typing import NamedTuple

from django.db.models import Count, F, OuterRef, Q, QuerySet, Subquery, prefetch_related_objects
from django.db.models.functions import Coalesce

from staff.models import Person
from vessels.models import Vessel
from workorders.models import Job, JobLine
from workorders.states import OPEN, JobState

OPEN_STATES = [state.value for state in OPEN]
OPEN_IN_SQL = ", ".join(f"'{state}'" for state in OPEN_STATES)
"""The same in a hand-written question: a plan that the database keeps then knows that few jobs are meant."""
NEWEST_FIRST = "-number"
"""The order of lists of jobs."""


def past_promise(today: date) -> Q:
    """Jobs past their promised day and not ready yet: what ``Job.is_overdue`` says, for a query over open jobs."""
    return Q(promised_on__lt=today) & ~Q(state=JobState.READY)


ROW = (
    "number", "state", "state_since", "opened_at", "closed_at", "promised_on", "location", "spot", "discount_percent",
    "discount_amount", "tax_percent", "tax_on_labor", "vessel__name", "vessel__maker", "vessel__model",
    "customer__name", "technician__name",
)  # fmt: skip
"""What a row of jobs shows or is added up by, and no more: the rest would take longer to read than the row."""


def with_people(jobs: QuerySet[Job]) -> QuerySet[Job]:
    """Jobs as rows: with vessel, customer, technician, and ``first_concern`` and ``line_count``.

    Of each no more is read than ``ROW``; whatever else is looked at costs a query.
    """
    lines = JobLine.objects.filter(job=OuterRef("pk")).order_by("position")
    counted = lines.order_by().values("job").annotate(count=Count("pk")).values("count")
    return (
        jobs.select_related("vessel", "customer", "technician")
        .only(*ROW)
        .annotate(first_concern=Subquery(lines.values("concern")[:1]), line_count=Coalesce(Subquery(counted), 0))
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


class Place(NamedTuple):
    """Where a boat lay."""

    location: str
    spot: str


def lines_of(job: Job) -> list[JobLine]:
    """The lines of a job in order, with their engines, and who made the corrections that are made: two queries."""
    lines = list(job.lines.select_related("engine").order_by("position"))
    prefetch_related_objects([line for line in lines if line.correction], "done_by")
    return lines


def usual_place(vessel: Vessel) -> Place | None:
    """Where a boat lay last time it was with us, at its usual berth where it has one; None where it never was."""
    jobs = vessel.jobs.exclude(location="away").order_by("-number").values_list("location", "spot")
    if vessel.berth:
        jobs = jobs.filter(spot__iexact=vessel.berth)
    before = jobs.first()
    return Place(*before) if before else None
