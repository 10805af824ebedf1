"""The list of jobs: which ones, in which order, a page at a time or all of them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Any

from django.db.models import Exists, F, OuterRef, Q, QuerySet, Value
from django.db.models.expressions import Combinable
from django.db.models.functions import Coalesce, Lower
from django.utils import timezone

from vessels.queries.finding import matching_customers, matching_vessels
from web.pager import page_of
from workorders.models import ENDED, FAR_DAY, FAR_MOMENT, Job, JobLine
from workorders.queries.jobs import OPEN_STATES, with_people
from workorders.states import WAITING

NOBODY = "nobody"
CHUNK = 500
ORDERS: dict[str, str | Combinable] = {
    "number": "number",
    "boat": Lower("vessel__name"),
    "customer": Lower("customer__name"),
    "state": "state",
    "technician": Coalesce(F("technician__name"), Value("")),
    "opened": "opened_at",
    "promised": Coalesce(F("promised_on"), Value(FAR_DAY)),
    "ended": Coalesce(F("closed_at"), Value(FAR_MOMENT)),
}
"""What the list is sorted by; the database has an order of its own for each but people, who are few."""


@dataclass(frozen=True)
class Wanted:
    """Which jobs, and in which order. ``state`` is one, or “ended”, “open”, “waiting” or “all”."""

    state: str = "ended"
    technician: str = ""
    words: str = ""
    promised_from: date | None = None
    promised_to: date | None = None
    opened_from: date | None = None
    opened_to: date | None = None
    service: bool = False
    sort: str = "-number"

    @property
    def order(self) -> str | Combinable:
        """What it is sorted by."""
        return ORDERS[self.sort.lstrip("-")]

    @property
    def is_falling(self) -> bool:
        """Whether the last of it stands first."""
        return self.sort.startswith("-")


def listed_jobs(wanted: Wanted) -> QuerySet[Job]:
    """The jobs that are wanted, in no order yet."""
    found = with_people(Job.objects.all())
    groups = {"ended": ENDED, "open": OPEN_STATES, "waiting": [state.value for state in WAITING]}
    if wanted.state != "all":
        found = found.filter(state__in=groups.get(wanted.state, [wanted.state]))
    if wanted.technician:
        found = found.filter(technician=None if wanted.technician == NOBODY else int(wanted.technician))
    if wanted.words:
        boats, people = matching_vessels(wanted.words), matching_customers(wanted.words)
        found = found.filter(
            Q(vessel__in=boats.order_by().values("pk")) | Q(customer__in=people.order_by().values("pk"))
        )
    if wanted.service:
        found = found.filter(Exists(JobLine.objects.filter(job=OuterRef("pk"), planned__isnull=False)))
    return found.filter(**_days(wanted))


def _days(wanted: Wanted) -> dict[str, Any]:
    zone = timezone.get_current_timezone()

    def begins(day: date) -> datetime:
        return datetime.combine(day, time(0), zone)

    said: dict[str, Any] = {
        "promised_on__gte": wanted.promised_from,
        "promised_on__lte": wanted.promised_to,
        "opened_at__gte": wanted.opened_from and begins(wanted.opened_from),
        "opened_at__lt": wanted.opened_to and begins(wanted.opened_to + timedelta(days=1)),
    }
    return {name: value for name, value in said.items() if value is not None}


def every_job(wanted: Wanted, jobs: QuerySet[Job]) -> Iterator[list[Job]]:
    """All of them in their order, some hundreds at a time."""
    after: int | None = None
    while True:
        page = page_of(jobs, wanted.order, after=after, size=CHUNK, falling=wanted.is_falling)
        if page.rows:
            yield page.rows
        if page.after is None:
            return
        after = page.after
