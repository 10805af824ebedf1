"""Lists of jobs for Today."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal

from django.db.models import Count, OuterRef, Q, QuerySet, Subquery
from django.utils import timezone

from workorders.jobparts.queries.waiting import all_parts_here, awaited_past
from workorders.models import Job, JobLine
from workorders.money import money_words
from workorders.queries import past_promise
from workorders.queries.jobs import ROW
from workorders.states import LABELS, OPEN, JobState
from workorders.waiting import waits_as_in
from workorders.worth import with_frozen, worth_of_jobs

FEW = 8
STUCK_AFTER = timedelta(days=7)
_OPEN = [state.value for state in OPEN]


@dataclass(frozen=True)
class JobSection:
    """Some jobs that have one thing in common. ``total`` counts those that did not fit as well.

    ``shows`` is what matters here: "late" (when it was promised), "since" (its state), "wait" (what it waits for), or
    none.
    """

    title: str
    jobs: Sequence[Job]
    total: int
    nothing: str
    shows: str = ""

    @property
    def more(self) -> int:
        """How many are not shown."""
        return self.total - len(self.jobs)


@dataclass(frozen=True)
class ReadyMoney:
    """What the jobs that are ready come to."""

    jobs: int
    words: str


def open_jobs() -> QuerySet[Job]:
    """Open jobs with all that a row shows."""
    first_concern = JobLine.objects.filter(job=OuterRef("pk")).order_by("position").values("concern")[:1]
    return (
        Job.objects.filter(state__in=_OPEN)
        .select_related("vessel", "customer", "technician")
        .annotate(concern=Subquery(first_concern))
    )


def _wanted(today: date) -> dict[str, Q]:
    return {
        "overdue": past_promise(today),
        "promised": Q(promised_on=today) & ~Q(state=JobState.READY),
        "ready": Q(state=JobState.READY),
        "undecided": Q(state__in=[JobState.WAITING_CUSTOMER, JobState.ESTIMATE]),
        "came_in": Q(opened_at__gte=_start_of(today)),
        "stuck": Q(state_since__lt=timezone.now() - STUCK_AFTER) & ~Q(state=JobState.READY),
        "parts_late": awaited_past(today),
        "parts_here": Q(state=JobState.WAITING_PARTS) & all_parts_here(),
        "nobodys": Q(technician=None, state__in=[JobState.AUTHORIZED, JobState.IN_WORK, JobState.SEA_TRIAL]),
    }


def _start_of(day: date) -> datetime:
    return timezone.make_aware(datetime(day.year, day.month, day.day))


_WORDS = {
    "overdue": ("Overdue", "Nothing is past its promised day.", "promised_on", "late"),
    "promised": ("Promised for today", "Nothing is promised for today.", "number", ""),
    "ready": ("Ready to hand over", "No job is ready to hand over.", "state_since", "since"),
    "undecided": ("Waiting for the customer", "No job is waiting for a customer.", "state_since", "since"),
    "came_in": ("Came in today", "No boat came in today yet.", "-opened_at", ""),
    "stuck": ("Stuck for a week or more", "No job has been in the same state for a week.", "state_since", "since"),
    "parts_late": ("Parts past their day", "No part is past the day it was expected.", "state_since", "wait"),
    "parts_here": ("Parts are here", "No job waits for parts that are all here.", "state_since", "wait"),
    "nobodys": (
        "Nobody’s yet",
        "Every job that is authorized, in work or on sea trial has its technician.",
        "promised_on",
        "",
    ),
}


def job_sections(today: date, *names: str) -> list[JobSection]:
    """The named sections: one query for all counts, one for each list."""
    wanted = _wanted(today)
    counts = Job.objects.filter(state__in=_OPEN).aggregate(**{name: Count("pk", filter=wanted[name]) for name in names})
    made = []
    for name in names:
        title, nothing, order, shows = _WORDS[name]
        jobs = list(open_jobs().only(*ROW).filter(wanted[name]).order_by(order, "number")[:FEW])
        made.append(JobSection(title, jobs, counts[name], nothing, shows))
    _with_waits([job for section in made if section.shows == "wait" for job in section.jobs])
    return made


def _with_waits(jobs: Sequence[Job]) -> None:
    """Put the parts that each job waits for beside it."""
    found = waits_as_in(JobState.WAITING_PARTS, jobs)
    for job in jobs:
        job.wait = found.get(job.pk)  # type: ignore[attr-defined]


def jobs_by_state() -> list[tuple[str, int]]:
    """How many jobs stand in each open state, in the order of the states."""
    counted = dict(Job.objects.filter(state__in=_OPEN).order_by().values_list("state").annotate(count=Count("pk")))
    return [(LABELS[state], counted.get(state.value, 0)) for state in JobState if state in OPEN]


def ready_money(currency: str) -> ReadyMoney:
    """The jobs that are ready and what they come to together, tax included: what is invoiced as it was invoiced."""
    of_job = ("customer", "state", "tax_percent", "discount_percent", "discount_amount")
    jobs = list(with_frozen(Job.objects.filter(state=JobState.READY).order_by().only(*of_job)))
    worth = worth_of_jobs(jobs, today=timezone.localdate(), currency=currency)
    return ReadyMoney(len(jobs), money_words(sum(worth.values(), Decimal(0)), currency))
