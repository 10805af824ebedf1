"""The clock on top of the pages: what runs, what is paused, and what has to be answered, for who is logged in.

Most pages are looked at while nobody's clock runs, and must not ask about it each time: the session of whoever clocks
on, or saw a clock on Today or among the hours, remembers that there is something to show.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.db.models import Exists, OuterRef, Q, Subquery
from django.http import HttpRequest
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


REMEMBERED = "has_clocks"
"""In the session: that this person has a clock to show."""
LOOKS = ("/hours/",)
"""Addresses whose pages look for clocks themselves, as Today does."""


def own_clocks(request: HttpRequest) -> Strip | None:
    """What this page tells the person of their own clocks; without a question where nothing is to tell."""
    remembered = bool(request.session.get(REMEMBERED))
    if not (remembered or request.path_info == "/" or request.path_info.startswith(LOOKS)):
        return None
    strip = strip_of(request.user)
    if bool(strip) is not remembered:
        remember(request, has_clocks=strip is not None)
    return strip


def remember(request: HttpRequest, *, has_clocks: bool) -> None:
    """Have this session show a clock on its pages, or no longer."""
    if has_clocks:
        request.session[REMEMBERED] = True
    else:
        request.session.pop(REMEMBERED, None)


_SHOWN = (
    "minutes", "is_open", "started_at", "ended_at", "line__position", "line__job__number", "line__job__state",
    "line__job__vessel__name", "line__job__vessel__maker", "line__job__vessel__model",
)  # fmt: skip
"""What the strip shows, and no more."""


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
        .only(*_SHOWN)
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
