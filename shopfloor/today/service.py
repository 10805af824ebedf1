"""Service due on Today: how much of it across the shop, and what of it is on boats that have a job."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from urllib.parse import urlencode

from django.urls import reverse

from shopfloor.today.jobs import FEW, open_jobs
from workorders.upkeep.queries.kept import answers, asked_for, counts_asked_for
from workorders.upkeep.queries.kept import open_jobs as on_jobs
from workorders.upkeep.shown import Shown, shown
from workorders.upkeep.wording import HEADS


@dataclass(frozen=True)
class ServiceLine:
    """How many services stand so, and where they are listed."""

    words: str
    count: int
    url: str


@dataclass(frozen=True)
class ServiceHere:
    """Services due on boats that have an open job, and on no job themselves; ``more`` did not fit."""

    services: Sequence[Shown]
    more: int


def service_lines() -> list[ServiceLine]:
    """How many services are overdue, due and due soon; nothing where none is."""
    return [
        ServiceLine(HEADS[standing], count, f"{reverse('upkeep:list')}?{urlencode({'standing': standing.value})}")
        for standing, count in counts_asked_for().items()
        if count
    ]


def service_here() -> ServiceHere | None:
    """What is due on boats with an open job, the most urgent first; None where nothing is."""
    found = asked_for().filter(vessel__in=open_jobs().order_by().values("vessel")).exclude(pk__in=list(on_jobs()))
    few = list(found.order_by("place", "pk")[: FEW + 1])
    if not few:
        return None
    more = found.count() - FEW if len(few) > FEW else 0
    return ServiceHere([shown(due) for due in answers(few[:FEW])], more)
