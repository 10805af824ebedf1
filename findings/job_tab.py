"""The job's Findings tab: what its codes and its readings say, beside each other."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from findings.faults.job_findings import findings_of_job
from findings.happenings.queries import happenings_of_job
from findings.happenings.standing import standing_protections
from findings.readings.queries import readings_shown_on_job, rows
from findings.readings.results import results_shown_on_job
from staff.policy import Permission, may, permission_required
from vessels.queries.doubts import hours_in_doubt
from workorders.frames import job_frame, job_or_404


@permission_required(Permission.SEE_RECORDS)
def job(request: HttpRequest, number: int) -> HttpResponse:
    """What was found on a job: before and after, readings, and everything logged about codes."""
    found = job_or_404(number)
    engines = {one.pk: one for one in found.vessel.engines.filter(removed_on=None)}
    doubts = hours_in_doubt(engines)
    context = {
        "frame": job_frame(request.user, found, "findings:job"),
        "job": found,
        "findings": findings_of_job(found),
        "readings": rows(readings_shown_on_job(found)),
        "results": results_shown_on_job(found),
        "happenings": happenings_of_job(found),
        "standing": standing_protections(found.vessel) if found.is_open else [],
        "doubts": [f"{engines[key]}: {said}" for key, of_engine in doubts.items() for said in of_engine],
        "has_unit": found.vessel.units.filter(removed_on=None).exists(),
        "may_correct": may(request.user, Permission.AMEND_FINDINGS),
        "may_log": may(request.user, Permission.LOG_FINDINGS),
    }
    return render(request, "findings/job.html", context)
