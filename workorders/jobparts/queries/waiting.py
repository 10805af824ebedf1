"""What jobs wait for: how many parts, until when, and whether all of them are here."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import NamedTuple

from django.db.models import Exists, OuterRef, Q
from django.utils import timezone

from engineering.canonical import plain_decimal
from vessels.wording import date_words
from web.rows import rows
from workorders.jobparts.models import AwaitedPart
from workorders.models import Job
from workorders.waiting import Wait, Waiting

FEW = 3
"""Parts that are named in a sentence."""
HERE = "Every part is here"


class Awaited(NamedTuple):
    """The parts that one job waits for, counted by order, in however many deliveries they come.

    ``arrived`` are those that came since it waits, ``partly`` those of which some did and the rest is to come.
    """

    job_id: int
    still: int
    undated: int
    arrived: int
    partly: int
    first_day: date | None
    last_day: date | None

    def wait(self, today: date) -> Wait | None:
        """That in words; nothing where nothing is on the list."""
        if not self.still:
            return Wait(HERE, is_over=True) if self.arrived else None
        many = self.still + self.arrived
        how_many = f"{f'{self.still} of ' if self.arrived else ''}{many} part{'s' if many > 1 else ''} to come"
        if self.partly:
            how_many += ", some of it here" if self.still == 1 else f", {self.partly} of them here in part"
        if self.first_day is not None and self.first_day < today:
            which = "was" if self.still == 1 else "the first was"
            return Wait(f"{how_many}, {which} expected {date_words(self.first_day)}", is_late=True)
        if self.undated or self.last_day is None:
            return Wait(f"{how_many}, day not known")
        return Wait(f"{how_many}, expected {date_words(self.last_day)}")


_AWAITED = """
    SELECT job_id, count(*) FILTER (WHERE is_open) AS still, count(*) FILTER (WHERE is_undated) AS undated,
           count(*) FILTER (WHERE came AND NOT is_open) AS arrived, count(*) FILTER (WHERE came AND is_open) AS partly,
           min(first_day) AS first_day, max(last_day) AS last_day
    FROM (
        SELECT awaited.job_id, bool_or(awaited.arrived_at IS NULL) AS is_open,
               bool_or(awaited.arrived_at IS NULL AND awaited.expected_on IS NULL) AS is_undated,
               COALESCE(bool_or(awaited.arrived_at >= job.state_since), FALSE) AS came,
               min(awaited.expected_on) FILTER (WHERE awaited.arrived_at IS NULL) AS first_day,
               max(awaited.expected_on) FILTER (WHERE awaited.arrived_at IS NULL) AS last_day
        FROM jobparts_awaitedpart awaited JOIN workorders_job job ON job.id = awaited.job_id
        WHERE awaited.job_id = ANY(%(jobs)s) AND awaited.canceled_at IS NULL
        GROUP BY awaited.job_id, COALESCE(awaited.order_id, awaited.id)
    ) ordered GROUP BY job_id
"""


AWAITED_PAST = """EXISTS (
    SELECT FROM jobparts_awaitedpart late WHERE late.job_id = job.id AND late.arrived_at IS NULL
    AND late.canceled_at IS NULL AND late.expected_on < %(today)s::date)"""
"""What ``awaited_past`` asks, in a hand-written question over a ``job``."""


def awaited_past(today: date) -> Q:
    """Jobs with a part that was expected before today, for a question over jobs."""
    return Q(Exists(_STILL.filter(expected_on__lt=today)))


def all_parts_here() -> Q:
    """Jobs whose parts all came since they wait, for a question over jobs."""
    came = AwaitedPart.objects.filter(job=OuterRef("pk"), arrived_at__gte=OuterRef("state_since"))
    return Q(Exists(came)) & ~Q(Exists(_STILL))


_STILL = AwaitedPart.objects.filter(job=OuterRef("pk"), arrived_at=None, canceled_at=None)


def waits(jobs: Sequence[Waiting]) -> Mapping[int, Wait]:
    """What parts jobs wait for, by their keys, in one query."""
    today = timezone.localdate()
    found = {one.job_id: one.wait(today) for one in rows(Awaited, _AWAITED, {"jobs": [job.pk for job in jobs]})}
    return {key: wait for key, wait in found.items() if wait is not None}


def explains(job: Job) -> str:
    """The parts that a job would wait for, in words; nothing where none is on its list."""
    still = [one for one in orders_on(job) if one.is_open]
    named = [f"{plain_decimal(one.to_come)} × {one.head.words}" for one in still[:FEW]]
    more = [f"{len(still) - FEW} more"] if len(still) > FEW else []
    return ", ".join([*named, *more])


@dataclass(frozen=True)
class Order:
    """What was ordered as one, with its deliveries: ``head`` is what was ordered, ``rows`` are all of it, as they came.

    What is still to come and what is no longer waited for comes last.
    """

    head: AwaitedPart
    rows: Sequence[AwaitedPart]

    @property
    def is_open(self) -> bool:
        """Whether some of it is still to come."""
        return any(one.is_open for one in self.rows)

    @property
    def is_late(self) -> bool:
        """Whether what is still to come was expected before today."""
        return any(one.is_late for one in self.rows)

    @property
    def quantity(self) -> Decimal:
        """How many were ordered."""
        return sum((one.quantity for one in self.rows), Decimal(0))

    @property
    def to_come(self) -> Decimal:
        """How many are still to come."""
        return sum((one.quantity for one in self.rows if one.is_open), Decimal(0))

    @property
    def told(self) -> str:
        """How it stands, where it came in several deliveries: “1 of 4 here, 3 to come”."""
        here = sum((one.quantity for one in self.rows if one.arrived_at is not None), Decimal(0))
        gone = self.quantity - self.to_come - here
        said = [f"{plain_decimal(here)} of {plain_decimal(self.quantity)} here"]
        said += [f"{plain_decimal(self.to_come)} to come"] if self.to_come else []
        said += [f"{plain_decimal(gone)} no longer waited for"] if gone else []
        return ", ".join(said)

    def __str__(self) -> str:
        return f"{plain_decimal(self.quantity)} × {self.head.words}"


def orders_on(job: Job) -> list[Order]:
    """All that a job waits or waited for, by order: what is still awaited first, what is expected soonest on top."""
    rows_of: dict[int, list[AwaitedPart]] = {}
    for one in awaited_on(job):
        rows_of.setdefault(one.order_id or one.pk, []).append(one)
    orders = [
        Order(
            next((one for one in found if one.pk == key), found[0]),
            sorted(found, key=lambda one: (one.arrived_at is None, one.arrived_at or one.added_at, one.pk)),
        )
        for key, found in rows_of.items()
    ]
    return sorted(orders, key=lambda one: not one.is_open)


def awaited_on(job: Job) -> list[AwaitedPart]:
    """All that a job waits or waited for: what is still awaited first, what is expected soonest on top."""
    found = list(
        AwaitedPart.objects.filter(job=job).select_related("line", "added_by", "arrived_by", "canceled_by", "part")
    )
    return sorted(found, key=lambda one: (not one.is_open, one.expected_on or date.max, one.pk))
