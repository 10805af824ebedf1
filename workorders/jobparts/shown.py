"""What the pages of a job show of its parts: the sections that this room adds to them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.http import HttpRequest

from staff.policy import Permission
from staff.requests import signed_in
from web.rows import figures
from workorders.jobparts.forms.charging import ChargeFittedForm
from workorders.jobparts.queries.fitted import JobParts, parts_on
from workorders.jobparts.queries.waiting import Order, orders_on
from workorders.models import Job
from workorders.sections import known_sum
from workorders.states import JobState
from workorders.waiting import Wait, waits_of


@dataclass(frozen=True)
class OnLines:
    """The parts of a job on its Lines tab."""

    parts: JobParts
    awaited: list[Order]
    form: ChargeFittedForm | None
    may_fit: bool
    may_correct: bool
    may_await: bool
    may_price: bool


_KNOWN = """
    SELECT EXISTS(SELECT FROM vessels_logentry entry JOIN jobparts_partfitted fitted ON fitted.entry_id = entry.id
                  WHERE entry.job_id = %(job)s) AS is_any_fitted,
           EXISTS(SELECT FROM jobparts_awaitedpart awaited WHERE awaited.job_id = %(job)s) AS is_any_awaited
"""
"""Many jobs have neither, and either is dear to put together."""


def on_lines(request: HttpRequest, job: Job, form: ChargeFittedForm | None = None) -> OnLines:
    """What was fitted, with its charges, and what is waited for. The form is for who sets prices."""
    person = signed_in(request)
    summed = known_sum(request, job)
    known = figures(_KNOWN, {"job": job.pk})
    parts = parts_on(job, summed.every if summed else None, is_any_fitted=known["is_any_fitted"])
    may_price = job.is_open and person.may(Permission.SET_PRICES)
    if form is None and may_price and parts.uncharged:
        form = ChargeFittedForm(
            parts=[one.fitted for one in parts.uncharged],
            charges=parts.unmatched,
            currency=request.shop.currency,  # type: ignore[attr-defined]
            auto_id="to-charge-%s",  # the page has a form for other charges as well
        )
    return OnLines(
        parts=parts,
        awaited=orders_on(job) if known["is_any_awaited"] else [],
        form=form,
        may_fit=person.may(Permission.FIT_PARTS),
        may_correct=person.may(Permission.AMEND_FINDINGS),
        may_await=job.is_open and person.may(Permission.AWAIT_PARTS),
        may_price=may_price,
    )


@dataclass(frozen=True)
class OnOverview:
    """What a job waits for, on its overview."""

    wait: Wait | None
    awaited: list[Order]
    is_waiting: bool
    may_await: bool


def on_overview(request: HttpRequest, job: Job) -> Any:
    """What is still waited for, and that all of it is here; nothing where neither is so."""
    known = figures(_KNOWN, {"job": job.pk})
    awaited = [one for one in orders_on(job) if one.is_open] if known["is_any_awaited"] else []
    wait = waits_of([job]).get(job.pk)
    is_waiting = job.state == JobState.WAITING_PARTS
    if not awaited and wait is None and not is_waiting:
        return None
    may_await = job.is_open and signed_in(request).may(Permission.AWAIT_PARTS)
    return OnOverview(wait, awaited, is_waiting, may_await)
