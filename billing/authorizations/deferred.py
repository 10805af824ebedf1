"""Deferred work where the boat is met again: on its page, on a job's lines, on the page that opens a job."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial
from typing import Any
from uuid import UUID

from django.db.models import Q
from django.http import HttpRequest

from billing.authorizations.actions.deferring import take_up_deferred
from billing.authorizations.models import DeferredWork
from staff.models import Person
from staff.policy import Permission
from staff.queries import local_day
from staff.requests import signed_in
from vessels.models import Engine, Vessel
from vessels.wording import date_words
from workorders.models import Job, JobLine
from workorders.offered import Offered
from workorders.states import OPEN

FEW = 20
SAFETY = "The shop said that it touches safety."


@dataclass(frozen=True)
class Shown:
    """Deferred work that a page shows, with sums where the person may see them."""

    works: Sequence[DeferredWork]
    sees_sums: bool
    may_add: bool = False


def concern_of(work: DeferredWork) -> str:
    """What the line says that it becomes."""
    return f"Deferred work: {work.what}"


def declined_words(work: DeferredWork) -> str:
    """Who declined it and when."""
    return f"declined by {work.declined_by} on {date_words(local_day(work.declined_at))}, job {work.job.number}"


def on_vessel(request: HttpRequest, vessel: Vessel) -> Any:
    """What is open of a boat; nothing where nothing is."""
    works = list(_open(vessel.pk).prefetch_related("steps")[:FEW])
    return Shown(works, signed_in(request).may(Permission.SEE_PRICES)) if works else None


def on_lines(request: HttpRequest, job: Job) -> Any:
    """What the boat's owner declined on other jobs, beside the lines of an open one."""
    if not job.is_open:
        return None
    works = list(_open(job.vessel_id).exclude(job=job)[:FEW])
    person = signed_in(request)
    return Shown(works, person.may(Permission.SEE_PRICES), person.may(Permission.OPEN_JOBS)) if works else None


def _open(vessel: int) -> Any:
    rows = DeferredWork.objects.filter(vessel=vessel, state=DeferredWork.OPEN)
    return rows.select_related("engine", "job").order_by("-is_safety", "-declined_at", "-pk")


def offers(vessel: Vessel, engines: Sequence[Engine]) -> list[Offered]:
    """What is open of a boat, and what an open job has taken up: a form that is sent twice finds what it ticked."""
    taken = Q(state=DeferredWork.TAKEN_UP, steps__job__state__in=[one.value for one in OPEN])
    rows = DeferredWork.objects.filter(Q(state=DeferredWork.OPEN) | taken, vessel=vessel)
    rows = rows.select_related("engine", "job").distinct().order_by("-is_safety", "-declined_at", "-pk")
    return [_offered(work, {one.pk for one in engines}) for work in rows[:FEW]]


def _offered(work: DeferredWork, fitted: set[int]) -> Offered:
    said = [f"One of: {work.alternatives}."] if work.alternatives else []
    said += [SAFETY] if work.is_safety else []
    said += [f"Why: {work.why}."] if work.why else []
    said += ["It is taken up on an open job already."] if work.state == DeferredWork.TAKEN_UP else []
    return Offered(
        key=f"deferred-{work.pk}",
        words=f"{work.what}: {declined_words(work)}",
        concern=concern_of(work),
        taken=partial(_take, work.pk),
        engine_id=work.engine_id if work.engine_id in fitted else None,
        hint=" ".join(said),
    )


def _take(pk: int, by: Person, line: JobLine, entry_id: UUID | None) -> object:
    work = DeferredWork.objects.get(pk=pk)
    return take_up_deferred(by=by, deferred=work, line=line, entry_id=entry_id)
