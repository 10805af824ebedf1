"""Pages of control units and what they said they were."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme

from staff.policy import Permission, permission_required
from staff.requests import signed_in
from vessels.actions import add_unit, change_unit, identify_unit, remove_unit
from vessels.forms import IdentifyForm, NewUnitForm, RemoveForm, UnitForm
from vessels.identity import identity_of
from vessels.models import ControlUnit
from vessels.queries.engines import identifications
from vessels.views.hulls import vessel_or_404
from web.submission import Submission


def unit_or_404(pk: int) -> ControlUnit:
    """The unit of a page, with its vessel, owner and engine."""
    return get_object_or_404(ControlUnit.objects.select_related("vessel", "vessel__owner", "engine"), pk=pk)


@permission_required(Permission.SEE_RECORDS, to_post=Permission.EDIT_RECORDS)
def unit(request: HttpRequest, pk: int) -> HttpResponse:
    """A control unit: its identifications over time, and the form to log another."""
    module = unit_or_404(pk)
    history = list(identifications(module)[:50])
    form = IdentifyForm(request.POST if request.method == "POST" else None, known=identity_of(history))
    sending = Submission(request, form)
    if sending.save(lambda: identify_unit(by=signed_in(request), unit=module, **form.answers())):
        messages.success(request, "The identification is in the log.")
        return redirect("vessels:unit", module.pk)
    return sending.page("vessels/unit.html", unit=module, vessel=module.vessel, history=history)


@permission_required(Permission.EDIT_RECORDS)
def unit_add(request: HttpRequest, pk: int) -> HttpResponse:
    """Add a control unit to a vessel."""
    boat = vessel_or_404(pk)
    initial = {"engine": request.GET.get("engine", "")}
    form = NewUnitForm(request.POST if request.method == "POST" else None, vessel=boat, initial=initial)
    sending = Submission(request, form)
    if sending.save(lambda: add_unit(by=signed_in(request), vessel=boat, **form.answers())):
        messages.success(request, f"{form.cleaned_data['name']} is added.")
        return redirect(_way_back(request) or reverse("vessels:engines", args=[boat.pk]))
    return sending.page("vessels/unit_add.html", vessel=boat, back=_way_back(request))


def _way_back(request: HttpRequest) -> str:
    """The page of ours that sent the person here for a unit; empty where there is none."""
    back = request.GET.get("next", "")
    return back if back.startswith("/") and url_has_allowed_host_and_scheme(back, allowed_hosts=None) else ""


@permission_required(Permission.EDIT_RECORDS)
def unit_change(request: HttpRequest, pk: int) -> HttpResponse:
    """Change a unit's name, address or kind of codes."""
    module = unit_or_404(pk)
    form = UnitForm(request.POST if request.method == "POST" else None, record=module)
    sending = Submission(request, form, record=module)

    def act() -> None:
        change_unit(
            by=signed_in(request),
            unit=module,
            seen_version=form.version,
            changes=form.changes(),
            entry_id=form.cleaned_data["entry_id"],
        )

    if sending.save(act):
        messages.success(request, "Saved. What changed is in the log.")
        return redirect("vessels:unit", module.pk)
    return sending.page("vessels/unit_change.html", unit=module, vessel=module.vessel)


@permission_required(Permission.EDIT_RECORDS)
def unit_remove(request: HttpRequest, pk: int) -> HttpResponse:
    """Remove a control unit."""
    module = unit_or_404(pk)
    form = RemoveForm(request.POST if request.method == "POST" else None)
    sending = Submission(request, form)
    if sending.save(lambda: remove_unit(by=signed_in(request), unit=module, **form.answers())):
        messages.success(request, f"{module} is removed. Its history stays in the log.")
        return redirect("vessels:engines", module.vessel_id)
    return sending.page("vessels/remove.html", removed=module)
