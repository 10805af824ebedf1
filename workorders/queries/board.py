"""The board: open jobs by state. It costs the same few queries with ten jobs as with ten thousand."""

from __future__ import annotations

from dataclasses import dataclass

from django.db.models import Case, Count, F, QuerySet, Value, When, Window
from django.db.models.fields import CharField
from django.db.models.functions import RowNumber
from django.utils import timezone

from staff.models import Person
from workorders.models import Job
from workorders.queries.jobs import OPEN_STATES, open_jobs, past_promise
from workorders.states import WAITING, JobState
from workorders.waiting import waits_of

AT_MOST = 30
"""Tiles in a column; the rest is in the list of the state."""

COLUMNS: list[tuple[str, str, tuple[JobState, ...]]] = [
    ("estimate", "Estimate", (JobState.ESTIMATE,)),
    ("authorized", "Authorized", (JobState.AUTHORIZED,)),
    ("in-work", "In work", (JobState.IN_WORK,)),
    ("waiting", "Waiting", WAITING),
    ("sea-trial", "Sea trial", (JobState.SEA_TRIAL,)),
    ("ready", "Ready", (JobState.READY,)),
]


@dataclass(frozen=True)
class Column:
    """One column: its first jobs, and how many there are in all."""

    slug: str
    label: str
    jobs: list[Job]
    count: int

    @property
    def left_out(self) -> int:
        """How many more there are than are shown."""
        return self.count - len(self.jobs)


@dataclass(frozen=True)
class Board:
    """All columns, and what they add up to."""

    columns: list[Column]
    count: int
    overdue: int


def board(
    *, technician: Person | None = None, nobody: bool = False, location: str = "", overdue: bool = False
) -> Board:
    """Open jobs by state, narrowed to a technician or to nobody's, to a place, to those past their day."""
    jobs = Job.objects.filter(state__in=OPEN_STATES)
    if technician is not None:
        jobs = jobs.filter(technician=technician)
    elif nobody:
        jobs = jobs.filter(technician=None)
    if location:
        jobs = jobs.filter(location=location)
    late = jobs.filter(past_promise(timezone.localdate()))
    if overdue:
        jobs = late
    counts = {row["state"]: row["count"] for row in jobs.order_by().values("state").annotate(count=Count("pk"))}
    by_column: dict[str, list[Job]] = {slug: [] for slug, _, _ in COLUMNS}
    for job in _first_of_each(jobs):
        by_column[job.board_column].append(job)  # type: ignore[attr-defined]
    waits = waits_of([job for found in by_column.values() for job in found])
    for job in by_column["waiting"]:
        job.wait = waits.get(job.pk)  # type: ignore[attr-defined]
    columns = [
        Column(slug, label, by_column[slug], sum(counts.get(state.value, 0) for state in states))
        for slug, label, states in COLUMNS
    ]
    return Board(columns, sum(counts.values()), late.count())


def _first_of_each(jobs: QuerySet[Job]) -> QuerySet[Job]:
    column = Case(
        *[When(state__in=[state.value for state in states], then=Value(slug)) for slug, _, states in COLUMNS],
        output_field=CharField(),
    )
    by_promise = [F("promised_on").asc(nulls_last=True), F("number").asc()]
    placed = jobs.annotate(board_column=column).annotate(
        place=Window(RowNumber(), partition_by=[F("board_column")], order_by=by_promise)
    )
    keys = placed.filter(place__lte=AT_MOST).values("pk")
    return open_jobs().filter(pk__in=keys).annotate(board_column=column)
