"""What the counter wants to see at once: who fits what was typed, and what is known of the boat that was chosen."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import NamedTuple

from engineering.plurals import plural
from vessels.models import Vessel
from vessels.queries import found_customers
from vessels.queries.finding import FoundCustomer
from web.rows import rows
from workorders.forms.opening import Choice
from workorders.queries.finding import FoundBoat, found_boats
from workorders.queries.jobs import OPEN_STATES
from workorders.states import LABELS, JobState

OFFERED = 8


@dataclass(frozen=True)
class Found:
    """Boats and customers that fit what was typed."""

    vessels: Sequence[FoundBoat]
    customers: Sequence[FoundCustomer]
    has_more: bool

    @property
    def comes_close(self) -> bool:
        """Whether nothing fits, and what is offered is only spelled or sounds like what was typed."""
        close = [boat.comes_close for boat in self.vessels] + [customer.comes_close for customer in self.customers]
        return bool(close) and all(close)

    @property
    def words(self) -> str:
        """What was found, as a sentence to be said."""
        if not self.vessels and not self.customers:
            return "No boat and no customer found."
        boats, people = len(self.vessels), len(self.customers)
        more = " and more" if self.has_more else ""
        return f"{boats} {plural(boats, 'boat')}{more}, {people} {plural(people, 'customer')}."


class JobKnown(NamedTuple):
    """A job of the boat that was chosen."""

    number: int
    state: str
    opened_at: datetime
    closed_at: datetime | None

    @property
    def state_words(self) -> str:
        """Where it stands, as people say it."""
        return LABELS[JobState(self.state)].lower()


@dataclass(frozen=True)
class Known:
    """What is on record of the choice."""

    phones: list[str]
    open_jobs: list[JobKnown]
    last_job: JobKnown | None
    boats: list[Vessel]


_JOBS = """
    (SELECT number, state, opened_at, closed_at FROM workorders_job
     WHERE vessel_id = %(vessel)s AND state = ANY(%(open)s) ORDER BY number DESC)
    UNION ALL
    (SELECT number, state, opened_at, closed_at FROM workorders_job
     WHERE vessel_id = %(vessel)s AND state <> ALL(%(open)s) ORDER BY number DESC LIMIT 1)
"""


def found_for(text: str) -> Found | None:
    """Boats with owner, phones, engines and open jobs, and customers, in a fixed number of queries."""
    if not text.strip():
        return None
    vessels = found_boats(text, at_most=OFFERED + 1)
    customers = found_customers(text, at_most=OFFERED)
    return Found(vessels[:OFFERED], customers, has_more=len(vessels) > OFFERED)


def known_of(choice: Choice) -> Known | None:
    """What is on record of the boat or the customer that was chosen."""
    owner = choice.vessel.owner if choice.vessel else choice.customer
    if owner is None:
        return None
    phones = [str(phone) for phone in owner.phones.all()]
    if choice.vessel is None:
        return Known(phones, [], None, list(owner.vessels.order_by("name", "pk")[:20]))
    jobs = rows(JobKnown, _JOBS, {"vessel": choice.vessel.pk, "open": OPEN_STATES})
    return Known(
        phones=phones,
        open_jobs=[job for job in jobs if job.state in OPEN_STATES],
        last_job=next((job for job in jobs if job.state not in OPEN_STATES), None),
        boats=[],
    )
