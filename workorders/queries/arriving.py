"""What the counter wants to see at once: who fits what was typed, and what is known of the boat that was chosen."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.db.models import Prefetch

from vessels.models import LogEntry, Vessel
from vessels.queries import find_vessels, hours_by_engine
from vessels.queries.lists import customer_list
from workorders.forms.opening import Choice
from workorders.models import Job
from workorders.queries.jobs import OPEN_STATES

OFFERED = 8


@dataclass(frozen=True)
class Found:
    """Boats and customers that fit what was typed."""

    vessels: Sequence[Vessel]
    customers: Sequence[Any]
    has_more: bool

    @property
    def words(self) -> str:
        """What was found, as a sentence to be said."""
        if not self.vessels and not self.customers:
            return "No boat and no customer fits."
        boats, people = len(self.vessels), len(self.customers)
        more = " and more" if self.has_more else ""
        return f"{boats} boat{'s' if boats != 1 else ''}{more}, {people} customer{'s' if people != 1 else ''}."


@dataclass(frozen=True)
class Known:
    """What is on record of the choice."""

    phones: list[str]
    open_jobs: list[Job]
    last_job: Job | None
    hours: dict[int, LogEntry]
    boats: list[Vessel]


def found_for(text: str) -> Found | None:
    """Boats with owner, phones, engines and open jobs, and customers, in a fixed number of queries."""
    if not text.strip():
        return None
    vessels = list(
        find_vessels(text, at_most=OFFERED + 1).prefetch_related(
            "owner__phones",
            "engines",
            Prefetch("jobs", queryset=Job.objects.filter(state__in=OPEN_STATES), to_attr="jobs_open"),
        )
    )
    customers = list(customer_list(text=text).order_by("name", "pk")[:OFFERED])
    return Found(vessels[:OFFERED], customers, has_more=len(vessels) > OFFERED)


def known_of(choice: Choice) -> Known | None:
    """What is on record of the boat or the customer that was chosen."""
    owner = choice.vessel.owner if choice.vessel else choice.customer
    if owner is None:
        return None
    open_jobs: list[Job] = []
    last_job: Job | None = None
    hours: dict[int, LogEntry] = {}
    boats: list[Vessel] = []
    if choice.vessel:
        jobs = Job.objects.filter(vessel=choice.vessel).order_by("-number")
        open_jobs = list(jobs.filter(state__in=OPEN_STATES))
        last_job = jobs.exclude(state__in=OPEN_STATES).first()
        hours = hours_by_engine(choice.vessel.engines.filter(removed_on=None))
    else:
        boats = list(owner.vessels.order_by("name", "pk")[:20])
    return Known(
        phones=[str(phone) for phone in owner.phones.all()],
        open_jobs=open_jobs,
        last_job=last_job,
        hours=hours,
        boats=boats,
    )
