"""What jobs wait for: how many parts, until when, and whether all of them are here."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import NamedTuple

from django.db.models import Exists, OuterRef, Q
from django.utils import timezone

from vessels.wording import date_words
from web.rows import rows
from workorders.jobparts.models import AwaitedPart
from workorders.models import Job
from workorders.waiting import Wait

FEW = 3
"""Parts that are named in a sentence."""
HERE = "Every part is here"


class Awaited(NamedTuple):
    """The parts that one job waits for, counted. ``arrived`` are those that came since it waits."""

    job_id: int
    still: int
    undated: int
    arrived: int
    first_day: date | None
    last_day: date | None

    def wait(self, today: date) -> Wait | None:
        """That in words; nothing where nothing is on the list."""
        if not self.still:
            return Wait(HERE, is_over=True) if self.arrived else None
        how_many = f"{self.still} part{'s' if self.still > 1 else ''} to come"
        if self.arrived:
            how_many += f" ({self.arrived} here already)"
        if self.first_day is not None and self.first_day < today:
            which = "was" if self.still == 1 else "the first was"
            return Wait(f"{how_many}, {which} expected {date_words(self.first_day)}", is_late=True)
        if self.undated or self.last_day is None:
            return Wait(f"{how_many}, day not known")
        return Wait(f"{how_many}, expected {date_words(self.last_day)}")


_AWAITED = """
    SELECT awaited.job_id, count(*) FILTER (WHERE awaited.arrived_at IS NULL) AS still,
           count(*) FILTER (WHERE awaited.arrived_at IS NULL AND awaited.expected_on IS NULL) AS undated,
           count(*) FILTER (WHERE awaited.arrived_at >= job.state_since) AS arrived,
           min(awaited.expected_on) FILTER (WHERE awaited.arrived_at IS NULL) AS first_day,
           max(awaited.expected_on) FILTER (WHERE awaited.arrived_at IS NULL) AS last_day
    FROM jobparts_awaitedpart awaited JOIN workorders_job job ON job.id = awaited.job_id
    WHERE awaited.job_id = ANY(%(jobs)s) AND awaited.canceled_at IS NULL GROUP BY awaited.job_id
"""


def awaited_past(today: date) -> Q:
    """Jobs with a part that was expected before today, for a question over jobs."""
    return Q(Exists(_STILL.filter(expected_on__lt=today)))


def all_parts_here() -> Q:
    """Jobs whose parts all came since they wait, for a question over jobs."""
    came = AwaitedPart.objects.filter(job=OuterRef("pk"), arrived_at__gte=OuterRef("state_since"))
    return Q(Exists(came)) & ~Q(Exists(_STILL))


_STILL = AwaitedPart.objects.filter(job=OuterRef("pk"), arrived_at=None, canceled_at=None)


def waits(jobs: Sequence[Job]) -> Mapping[int, Wait]:
    """What jobs that wait for parts are waiting for, by their keys, in one query."""
    today = timezone.localdate()
    found = {one.job_id: one.wait(today) for one in rows(Awaited, _AWAITED, {"jobs": [job.pk for job in jobs]})}
    return {key: wait for key, wait in found.items() if wait is not None}


def explains(job: Job) -> str:
    """The parts that a job would wait for, in words; nothing where none is on its list."""
    still = [one for one in awaited_on(job) if one.is_open]
    named = [str(one) for one in still[:FEW]]
    more = [f"{len(still) - FEW} more"] if len(still) > FEW else []
    return ", ".join([*named, *more])


def awaited_on(job: Job) -> list[AwaitedPart]:
    """All that a job waits or waited for: what is still awaited first, what is expected soonest on top."""
    found = list(
        AwaitedPart.objects.filter(job=job).select_related("line", "added_by", "arrived_by", "canceled_by", "part")
    )
    return sorted(found, key=lambda one: (not one.is_open, one.expected_on or date.max, one.pk))
