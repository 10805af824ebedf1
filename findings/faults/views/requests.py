"""What the pages of findings ask of a request."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from findings.faults.models import Scan
from vessels.models import ControlUnit
from web.typed import uuid_of
from workorders.frames import job_frame
from workorders.models import Job

SCAN_NEEDS_UNIT = "A scan is a read-out of one control unit."
CLEAR_NEEDS_UNIT = "Codes are cleared in a control unit."


def no_unit(request: HttpRequest, job: Job, why: str = SCAN_NEEDS_UNIT) -> HttpResponse:
    """The page that says why nothing can be logged: no control unit is aboard by the records."""
    context = {
        "frame": job_frame(request.user, job, "findings:job"),
        "job": job,
        "why": why,
        "engines": job.vessel.engines.filter(removed_on=None),
    }
    return render(request, "findings/faults/no_unit.html", context)


@dataclass(frozen=True)
class UnitChoice:
    """One unit as a button or link."""

    unit: ControlUnit
    is_chosen: bool


def unit_buttons(units: Sequence[ControlUnit], chosen: ControlUnit) -> list[UnitChoice]:
    """All units, the chosen one marked; nothing to choose where there is one only."""
    return [UnitChoice(unit, unit == chosen) for unit in units] if len(units) > 1 else []


@dataclass(frozen=True)
class UnitLink:
    """One unit to choose before anything is logged."""

    unit: ControlUnit
    url: str


_NOT_KEPT = {"csrfmiddlewaretoken", "unit", "switch", "do", "entry_id"}


def choose_unit(request: HttpRequest, job: Job, units: Sequence[ControlUnit], title: str) -> HttpResponse:
    """The page that asks for the unit where the job leaves it open; what was sent without one is kept."""
    links = []
    for unit in units:
        query = request.GET.copy()
        query["unit"] = str(unit.pk)
        links.append(UnitLink(unit, f"{request.path}?{query.urlencode()}"))
    is_sent = request.method == "POST"
    typed = [(name, value) for name, values in request.POST.lists() for value in values if name not in _NOT_KEPT]
    context = {
        "frame": job_frame(request.user, job, "findings:job"),
        "job": job,
        "title": title,
        "links": links,
        "typed": typed if is_sent else None,
    }
    return render(request, "findings/faults/choose_unit.html", context, status=422 if is_sent else 200)


def scan_to_correct(job: Job, key: str) -> Scan | None:
    """The scan of this job with this key. Whether it can be corrected still is for the action to say."""
    scans = Scan.objects.filter(entry__job=job).select_related("entry", "unit__engine")
    return scans.prefetch_related("sightings").filter(pk=uuid_of(key)).first()
