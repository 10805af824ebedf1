"""The kits of a job's services, on its Lines tab: what the shop sells for a service is one touch from the estimate."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.http import HttpRequest

from billing.estimates.models import EstimateLine, Kit
from billing.estimates.queries import draft_of
from staff.policy import Permission
from workorders.models import Job, JobLine
from workorders.sections import LINES, Section, register
from workorders.upkeep.models import PlannedLine


@dataclass(frozen=True)
class KitOfLine:
    """A line of a job that is for a service, and the kit that the service's plan names; ``count`` lines are in it."""

    line: JobLine
    plan: str
    kit: Kit
    count: int


@dataclass(frozen=True)
class ServiceKits:
    """Those of a job of which nothing is on an estimate for that line yet; without a draft there is no place for it."""

    kits: Sequence[KitOfLine]
    has_draft: bool


def register_service_kits() -> None:
    """Make them known."""
    register(Section(LINES, "shopfloor/service_kits.html", service_kits, 12, permission=Permission.SET_PRICES))


def service_kits(request: HttpRequest, job: Job) -> Any:
    """The kits that can be put on the job's estimate; nothing where none can. Five queries at most."""
    if not job.is_open:
        return None
    planned = PlannedLine.objects.filter(line__job=job, adoption__plan__kit__isnull=False)
    planned = planned.select_related("line", "adoption__plan").order_by("line__position")
    if not planned:
        return None
    on_estimates = EstimateLine.objects.filter(estimate__job=job, job_line__in=[one.line_id for one in planned])
    there = set(on_estimates.values_list("job_line", "description"))
    keys = [one.adoption.plan.kit_id for one in planned if one.adoption.plan.kit_id is not None]
    kits = Kit.objects.filter(is_sold=True).prefetch_related("lines").in_bulk(keys)
    found = []
    for one in planned:
        kit = kits.get(one.adoption.plan.kit_id or 0)
        lines = [] if kit is None else [line.description for line in kit.lines.all()]
        if kit is not None and lines and not any((one.line_id, words) in there for words in lines):
            found.append(KitOfLine(one.line, one.adoption.plan.name, kit, len(lines)))
    return ServiceKits(found, draft_of(job) is not None) if found else None
