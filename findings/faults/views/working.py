"""Logging what was done about faults."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from commands.refusals import Refused
from findings.faults.actions import log_work
from findings.faults.forms import WorkForm
from findings.faults.models import Fault
from findings.faults.queries import FaultSeen, faults_of_vessel
from staff.policy import Permission, permission_required
from staff.requests import signed_in
from vessels.models import Engine
from vessels.shown_hours import shown_hours, true_hours
from web.submission import accepted
from workorders.frames import job_frame, job_or_404
from workorders.models import Job


@permission_required(Permission.LOG_FINDINGS)
def work(request: HttpRequest, number: int) -> HttpResponse:
    """Say what was done, about which faults or none, and log it."""
    job = job_or_404(number)
    seen = faults_of_vessel(job.vessel)
    offered: dict[str, Any] = {
        "faults_offered": [(one.fault.pk, one.fault.label) for one in seen],
        "lines": [(line.pk, str(line)) for line in job.lines.all()],
        "engines": list(job.vessel.engines.filter(removed_on=None)),
    }
    if request.method != "POST":
        form = WorkForm(**offered, initial=_first_answers(request, seen, offered["lines"]))
        return _page(request, job, seen, form)
    form = WorkForm(request.POST, **offered)
    words = accepted(form, lambda: _log(request, job, seen, form, offered["engines"]))
    if words is None:
        return _page(request, job, seen, form, status=422)
    messages.success(request, words)
    return redirect("findings:job", number=job.number)


def _first_answers(
    request: HttpRequest, seen: Sequence[FaultSeen], lines: Sequence[tuple[int, str]]
) -> dict[str, object]:
    """The fault asked for, and the only line if there is one only."""
    asked = request.GET.get("fault", "")
    chosen = [one.fault.pk for one in seen if str(one.fault.pk) == asked]
    return {"faults": chosen, "line": lines[0][0] if len(lines) == 1 else ""}


def _log(request: HttpRequest, job: Job, seen: Sequence[FaultSeen], form: WorkForm, engines: Sequence[Engine]) -> str:
    answers = form.cleaned_data
    named = [one.fault for one in seen if one.fault.pk in answers["faults"]]
    shown = shown_hours(answers["hours"])
    chosen = next((one for one in engines if one.pk == answers["engine"]), None)
    engine = chosen or _one_engine(named)
    if engine is None and not named and shown is not None and len(engines) == 1:
        engine = engines[0]
    if shown is not None and engine is None:
        hint = "Choose the engine, or leave the hours empty."
        if named:
            hint = (
                "These faults belong to more than one engine. Leave the hours empty, or log the work for each engine."
            )
        raise Refused("Hours of which engine?", fields={"hours": hint})
    log_work(
        by=signed_in(request),
        vessel=job.vessel,
        faults=named,
        text=answers["text"],
        job=job,
        line=job.lines.filter(pk=answers["line"]).first() if answers["line"] else None,
        engine=engine,
        engine_hours=true_hours(engine, shown, answers["happened_at"]),
        entry_id=answers["entry_id"],
        happened_at=answers["happened_at"],
    )
    return f"Work about {', '.join(fault.label for fault in named)} logged." if named else "Work logged."


def _one_engine(faults: Sequence[Fault]) -> Engine | None:
    """The engine that all these faults are of; None where they are of several, or of none."""
    engines = {fault.engine for fault in faults}
    return engines.pop() if len(engines) == 1 else None


def _page(
    request: HttpRequest, job: Job, seen: Sequence[FaultSeen], form: WorkForm, *, status: int = 200
) -> HttpResponse:
    ticked = {str(key) for key in form["faults"].value() or []}
    just_cleared = cleared_since(seen, job.opened_at)
    rows = [(one, str(one.fault.pk) in ticked) for one in [*just_cleared, *(s for s in seen if s not in just_cleared)]]
    context = {
        "frame": job_frame(request.user, job, "findings:job"),
        "job": job,
        "form": form,
        "open_rows": [(one, tick) for one, tick in rows if one in just_cleared or one.fault.is_open or tick],
        "closed_rows": [(one, tick) for one, tick in rows if not (one in just_cleared or one.fault.is_open or tick)],
    }
    return render(request, "findings/faults/work.html", context, status=status)


def cleared_since(seen: Sequence[FaultSeen], moment: datetime) -> list[FaultSeen]:
    """The faults that a clear closed since a moment, the last one first: what is worked on, and cleared, right now."""
    found = []
    for one in seen:
        last = one.history.episodes[-1] if one.history.episodes else None
        if not one.fault.is_open and last and last.closed_by == "clear" and last.closed_at and last.closed_at >= moment:
            found.append((last.closed_at, one))
    return [one for _, one in sorted(found, key=lambda pair: pair[0], reverse=True)]
