"""Pages of readings."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render

from findings.readings import queries
from findings.readings.models import Parameter
from findings.readings.series import readings_page, series, series_page
from findings.readings.trending import no_longer_counting, trend_seen
from staff.policy import Permission, may, permission_required
from vessels.frames import vessel_frame
from vessels.models import Engine, Vessel
from web.typed import whole_number


@permission_required(Permission.SEE_RECORDS)
def vessel_readings(request: HttpRequest, pk: int) -> HttpResponse:
    """The latest of everything measured on a vessel, in pages."""
    vessel = get_object_or_404(Vessel.objects.select_related("owner"), pk=pk)
    page = series_page(vessel, request.GET.get("after", ""))
    context = {
        "frame": vessel_frame(request.user, vessel, "findings:vessel_readings"),
        "vessel": vessel,
        "series": page.series,
        "after": page.after,
        "is_first": not request.GET.get("after"),
    }
    return render(request, "findings/readings/vessel.html", context)


@permission_required(Permission.SEE_RECORDS)
def parameter_history(request: HttpRequest, pk: int, parameter: int) -> HttpResponse:
    """Every reading of one parameter of one engine, newest first."""
    vessel = get_object_or_404(Vessel.objects.select_related("owner"), pk=pk)
    of = get_object_or_404(Parameter, pk=parameter)
    engine = None
    if (key := whole_number(request.GET.get("engine", ""))) is not None:
        engine = get_object_or_404(Engine, pk=key, vessel=vessel)
    condition = request.GET.get("condition")
    found = series(vessel, engine.pk if engine else None, of, condition)
    shown = series(vessel, engine.pk if engine else None, of, condition, all_of_them=True)
    page = readings_page(queries.with_limits(shown), request.GET.get("before", ""))
    context = {
        "frame": vessel_frame(request.user, vessel, "findings:vessel_readings"),
        "vessel": vessel,
        "parameter": of,
        "engine": engine,
        "condition": condition,
        "rows": list(zip(queries.rows(page.readings), page.changes, strict=True)),
        "older": page.older,
        "trend": trend_seen(found, engine, name=of.name),
        "left_out": no_longer_counting(shown),
        "may_correct": may(request.user, Permission.AMEND_FINDINGS),
    }
    return render(request, "findings/readings/history.html", context)
