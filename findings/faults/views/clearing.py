"""Logging that codes were cleared. Before it: what it covers, and that a clear takes the evidence out of the unit."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from findings.faults.actions import clear_codes
from findings.faults.evidence import IS_EFFECTIVE
from findings.faults.forms import ClearForm
from findings.faults.models import Clear, Fault, Scan
from findings.faults.of_the_job import unit_of
from findings.faults.queries import FaultSeen, faults_of_unit, unit_choices
from findings.faults.views.requests import CLEAR_NEEDS_UNIT, choose_unit, no_unit, unit_buttons
from staff.policy import Permission, permission_required
from staff.requests import signed_in
from vessels.models import ControlUnit
from vessels.shown_hours import shown_hours, true_hours
from web.submission import accepted
from workorders.frames import job_frame, job_or_404
from workorders.models import Job


@permission_required(Permission.LOG_FINDINGS)
def clear(request: HttpRequest, number: int) -> HttpResponse:
    """Say what was cleared, and log it."""
    job = job_or_404(number)
    units = unit_choices(job.vessel)
    if not units:
        return no_unit(request, job, CLEAR_NEEDS_UNIT)
    said = request.POST.get("switch", request.POST.get("unit", request.GET.get("unit", "")))
    unit = unit_of(job, units, said)
    if unit is None:
        return choose_unit(request, job, units, "Codes cleared")
    seen = faults_of_unit(unit)
    offered = [(one.fault.pk, one.fault.label) for one in seen]
    if request.method != "POST" or "switch" in request.POST:
        typed = {
            name: request.POST[name] for name in ("extent", "hours", "text", "happened_at") if name in request.POST
        }
        form = ClearForm(units_offered=units, faults_offered=offered, initial={**typed, "unit": unit.pk})
        return _page(request, job, unit, seen, form)
    form = ClearForm(request.POST, units_offered=units, faults_offered=offered)
    words = accepted(form, lambda: _clear(request, job, unit, seen, form.cleaned_data))
    if words is None:
        return _page(request, job, unit, seen, form, status=422)
    messages.success(request, words)
    return redirect("findings:job", number=job.number)


def _clear(
    request: HttpRequest, job: Job, unit: ControlUnit, seen: Sequence[FaultSeen], answers: dict[str, Any]
) -> str:
    named: list[Fault] | None = None
    if answers["extent"] == "some":
        named = [one.fault for one in seen if one.fault.pk in answers["faults"]]
    cleared = clear_codes(
        by=signed_in(request),
        unit=unit,
        faults=named,
        job=job,
        engine_hours=true_hours(unit.engine, shown_hours(answers["hours"]), answers["happened_at"]),
        text=answers["text"],
        entry_id=answers["entry_id"],
        happened_at=answers["happened_at"],
    )
    what = ", ".join(fault.label for fault in named) if named is not None else f"All codes of {unit}"
    return f"{what} logged as cleared.{_what_shows(unit, cleared)}"


def _what_shows(unit: ControlUnit, cleared: Clear) -> str:
    """What shows whether the codes stay away: a scan that is still to come, or one that is on record already."""
    later = Scan.objects.filter(
        IS_EFFECTIVE, unit=unit, is_complete=True, entry__happened_at__gt=cleared.entry.happened_at
    )
    if any(scan.tells_codes for scan in later.defer("raw")):
        return " A complete scan from after that is on record."
    return " Scan again: only a complete scan shows whether they stay away."


def _page(
    request: HttpRequest, job: Job, unit: ControlUnit, seen: Sequence[FaultSeen], form: ClearForm, *, status: int = 200
) -> HttpResponse:
    scans_before = Scan.objects.filter(IS_EFFECTIVE, entry__job=job, unit=unit)
    ticked = {str(key) for key in form["faults"].value() or []}
    form.ask_hours(unit.engine)
    context = {
        "frame": job_frame(request.user, job, "findings:job"),
        "job": job,
        "unit": unit,
        "units": unit_buttons(unit_choices(job.vessel), unit),
        "form": form,
        "rows": [(one, str(one.fault.pk) in ticked) for one in seen],
        "open_count": sum(one.fault.is_open for one in seen),
        "was_scanned": scans_before.exists(),
    }
    return render(request, "findings/faults/clear.html", context, status=status)
