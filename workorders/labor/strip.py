"""The clock on top of every page: what runs, what is paused, and what has to be answered, for who is logged in."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.db.models import Exists, OuterRef, Q, Subquery
from django.utils import timezone

from staff.models import Person
from staff.policy import Permission
from workorders.labor.checking import is_in_question
from workorders.labor.models import Stretch, StretchEnd, StretchVoid
from workorders.labor.reckoning import PAUSED, is_same_day


@dataclass(frozen=True)
class Strip:
    """A person's own clocks: one that runs or is paused today, and those left running before."""

    running: Stretch | None
    paused: Stretch | None
    asked: Sequence[Stretch]


def strip_of(person: Any) -> Strip | None:
    """What the pages tell this person of their own clocks, in one query; None where there is nothing to tell."""
    if not isinstance(person, Person) or not person.may(Permission.CLOCK_HOURS):
        return None
    own = Stretch.objects.filter(person=person, source="clock")
    found = list(
        own.filter(
            Q(pk__in=own.order_by("-started_at", "-pk").values("pk")[:1])
            | Q(minutes=None, corrected_by=None, voided=None)
        )
        .select_related("line__job__vessel")
        .annotate(
            how=Subquery(StretchEnd.objects.filter(stretch=OuterRef("pk"), at=OuterRef("ended_at")).values("kind")[:1]),
            why_paused=Subquery(
                StretchEnd.objects.filter(stretch=OuterRef("pk"), kind=PAUSED, at=OuterRef("ended_at")).values(
                    "reason"
                )[:1]
            ),
            is_gone=Exists(StretchVoid.objects.filter(stretch=OuterRef("pk")))
            | Exists(Stretch.objects.filter(amends=OuterRef("pk"))),
        )
        .order_by("started_at", "pk")
    )
    if not found:
        return None
    zone, last = timezone.get_current_timezone(), found[-1]
    asked = [one for one in found if not one.is_gone and is_in_question(one, zone)]
    running = last if last.is_open and not last.is_gone and last not in asked else None
    paused = None
    if last.how == PAUSED and last.line.job.is_open and last.ended_at is not None:
        paused = last if is_same_day(last.ended_at, timezone.now(), zone) else None
    return Strip(running, paused, asked) if running or paused or asked else None
