"""The pages that show faults: a vessel's, one fault's own, a job's."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone

from findings.faults.job_findings import findings_of_job
from findings.faults.picturing import lanes_by_engine
from findings.faults.queries import (
    APPEARANCES,
    FaultSeen,
    evidence_of_fault,
    faults_of_vessel,
    latest_hours_by_engine,
    people_who_saw,
    sisters_of,
    work_about,
)
from findings.faults.wording import Now
from findings.models import Fault
from findings.readings.queries import readings_of_job, rows
from staff.policy import Permission, may, permission_required
from vessels.frames import vessel_frame
from vessels.models import Vessel
from workorders.frames import job_frame, job_or_404

MOST_EVIDENCE = 50


@permission_required(Permission.SEE_RECORDS)
def vessel_faults(request: HttpRequest, pk: int) -> HttpResponse:
    """Every fault of a vessel: the lanes, and a table of the same facts."""
    vessel = get_object_or_404(Vessel.objects.select_related("owner"), pk=pk)
    everything = faults_of_vessel(vessel)
    engines = {one.fault.engine_id: one.fault.engine for one in everything}
    wanted = request.GET.get("engine", "")
    engine_id = next((key for key in engines if key is not None and str(key) == wanted), None)
    only_open = request.GET.get("show") == "open"
    shown = [
        one
        for one in everything
        if (engine_id is None or one.fault.engine_id == engine_id) and (not only_open or one.fault.is_open)
    ]
    context = {
        "frame": vessel_frame(request.user, vessel, "findings:vessel_faults"),
        "vessel": vessel,
        "faults": shown,
        "lanes": lanes_by_engine(vessel, shown),
        "engines": sorted((one for one in engines.values() if one), key=lambda one: one.pk),
        "engine_id": engine_id,
        "only_open": only_open,
        "all_count": len(everything),
        "open_count": sum(one.fault.is_open for one in everything),
    }
    return render(request, "findings/vessel_faults.html", context)


@permission_required(Permission.SEE_RECORDS)
def fault(request: HttpRequest, pk: int) -> HttpResponse:
    """One fault: where it stands, its lane, its episodes, its evidence, and the same code on sister engines."""
    found = Fault.objects.select_related("unit__engine", "engine__family", "vessel__owner")
    seen = FaultSeen(get_object_or_404(found.prefetch_related(APPEARANCES), pk=pk))
    engine_id = seen.fault.engine_id
    latest = latest_hours_by_engine([engine_id]) if engine_id is not None else {}
    now = Now(timezone.now(), latest.get(engine_id) if engine_id is not None else None)
    evidence = evidence_of_fault(seen.fault, after_entry=request.GET.get("older_than", ""), most=MOST_EVIDENCE)
    context = {
        "seen": seen,
        "fault": seen.fault,
        "lanes": lanes_by_engine(seen.fault.vessel, [seen], latest=latest) if seen.episodes else [],
        "evidence": evidence[:MOST_EVIDENCE],
        "older": evidence[MOST_EVIDENCE - 1].entry.pk if len(evidence) > MOST_EVIDENCE else "",
        "work": work_about(seen.fault),
        "sisters": sisters_of(seen.fault),
        "people": people_who_saw(seen.fault),
        "last_time": seen.last_time(now),
        "open_job": seen.fault.vessel.jobs.exclude(state__in=["closed", "canceled"]).order_by("-number").first(),
        "may_log": may(request.user, Permission.LOG_FINDINGS),
    }
    return render(request, "findings/fault.html", context)


@permission_required(Permission.SEE_RECORDS)
def job(request: HttpRequest, number: int) -> HttpResponse:
    """What was found on a job: before and after, readings, and everything logged about codes."""
    found = job_or_404(number)
    context = {
        "frame": job_frame(request.user, found, "findings:job"),
        "job": found,
        "findings": findings_of_job(found),
        "readings": rows(readings_of_job(found)),
        "may_correct": may(request.user, Permission.AMEND_FINDINGS),
        "may_log": may(request.user, Permission.LOG_FINDINGS),
    }
    return render(request, "findings/job.html", context)
