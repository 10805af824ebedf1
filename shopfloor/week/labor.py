"""Hours that were worked, and hours that estimates name: what is known of them, and no more."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import Q, Sum

from web.rows import rows
from workorders.labor.models import Stretch

COUNTED = Q(corrected_by=None, voided=None, minutes__isnull=False)


@dataclass(frozen=True)
class Estimated:
    """The labor of the last estimate that was given for a job. ``has_more``: some of it is flat, and in no hours."""

    job_id: int
    hours: Decimal
    has_more: bool


_ESTIMATED = """
    SELECT given.job_id, COALESCE(sum(line.quantity) FILTER (WHERE NOT line.is_flat), 0) AS hours,
           bool_or(line.is_flat OR line.quantity IS NULL) AS has_more
    FROM estimates_estimate given JOIN estimates_estimateline line ON line.estimate_id = given.id
    WHERE given.job_id = ANY(%(jobs)s) AND given.given_at IS NOT NULL AND line.kind = 'labor' AND line.option_id IS NULL
      AND NOT EXISTS (SELECT FROM estimates_estimate later WHERE later.job_id = given.job_id
                      AND later.given_at IS NOT NULL AND later.revision > given.revision)
    GROUP BY given.job_id
"""


def estimated_labor(jobs: Collection[int]) -> Mapping[int, Estimated]:
    """The hours of labor of these jobs, without options, where an estimate that was given names some: one query."""
    return {one.job_id: one for one in rows(Estimated, _ESTIMATED, {"jobs": list(jobs)})} if jobs else {}


def worked_on(jobs: Collection[int]) -> Mapping[int, int]:
    """The minutes that were worked on these jobs, as far as they are known: one query."""
    found = Stretch.objects.filter(COUNTED, line__job__in=jobs).order_by().values_list("line__job")
    return dict(found.annotate(sum=Sum("minutes"))) if jobs else {}


def worked_by_day(first: date, last: date) -> Mapping[tuple[int, date], int]:
    """The minutes that each person worked on each day, as far as they are known: one query."""
    found = Stretch.objects.filter(COUNTED, day__range=(first, last)).order_by().values_list("person", "day")
    return {(person, day): minutes for person, day, minutes in found.annotate(sum=Sum("minutes"))}
