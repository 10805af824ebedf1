"""The pages that show faults: a vessel's, one fault's own, a job's."""

from __future__ import annotations

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone

from engineering.codes import same_words
from findings.faults.fault_page import (
    episodes_on_page,
    evidence_of_fault,
    family_faults,
    fault_on_page,
    people_who_saw,
    work_about,
)
from findings.faults.other_boxes import another_unit_of, units_replaced
from findings.faults.picturing import lanes_by_engine
from findings.faults.queries import FaultSeen, codes_beside, faults_of_vessel, on_other_units
from findings.faults.wording import Now, last_time
from staff.policy import Permission, may, permission_required
from vessels.frames import vessel_frame
from vessels.models import Vessel

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
        if (engine_id is None or one.fault.engine_id == engine_id) and (not only_open or one.fault.is_open_aboard)
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
        "open_count": sum(one.fault.is_open_aboard for one in everything),
        "replaced": units_replaced(shown),
    }
    return render(request, "findings/faults/vessel_faults.html", context)


@permission_required(Permission.SEE_RECORDS)
def fault(request: HttpRequest, pk: int) -> HttpResponse:
    """One fault: where it stands, its lane, its episodes, its evidence, and the same code on sister engines."""
    found = fault_on_page(pk)
    if found is None:
        raise Http404
    one, seen = found.fault, FaultSeen(found.fault)
    episodes = episodes_on_page(one)
    latest = {one.engine_id: found.latest_hours} if one.engine_id and found.latest_hours is not None else {}
    evidence = evidence_of_fault(one, after_entry=request.GET.get("older_than", ""), most=MOST_EVIDENCE)
    last = episodes[max(episodes)] if episodes else None
    on_job = (last.closed_on if seen.history.episodes[-1].closed_at else last.opened_on) if last else None
    now = Now(timezone.localtime(), found.latest_hours, found.hours_read_at)
    context = {
        "seen": seen,
        "fault": one,
        "episodes": episodes,
        "lanes": lanes_by_engine(one.vessel, [seen], latest=latest) if episodes else [],
        "evidence": evidence[:MOST_EVIDENCE],
        "older": evidence[MOST_EVIDENCE - 1].pk if len(evidence) > MOST_EVIDENCE else "",
        "work": work_about(one),
        "sisters": family_faults(one),
        "people": people_who_saw(one),
        "last_time": last_time(
            seen.history,
            now,
            job_number=on_job,
            fates={entry.afterwards.replaced.done for entry in evidence if entry.afterwards.replaced},
        ),
        "same": " ".join(filter(None, [same_words(one.as_code, codes_beside(one)), on_other_units(one)])),
        "another": another_unit_of(seen),
        "open_job": found.open_job,
        "may_log": may(request.user, Permission.LOG_FINDINGS),
    }
    return render(request, "findings/faults/fault.html", context)
