"""When a boat is laid up."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.http import require_POST

from staff.policy import Permission, permission_required
from staff.requests import signed_in
from vessels.views.hulls import vessel_or_404
from web.submission import Submission, attempted
from web.typed import sent_id
from workorders.upkeep.actions import change_lay_up, lay_up, strike_lay_up
from workorders.upkeep.forms.laying_up import LayUpForm
from workorders.upkeep.models import LayUp


@permission_required(Permission.EDIT_RECORDS)
def add(request: HttpRequest, pk: int) -> HttpResponse:
    """Note that a boat is laid up."""
    vessel = vessel_or_404(pk)
    form = LayUpForm(request.POST if request.method == "POST" else None)
    sending = Submission(request, form)
    if sending.save(lambda: lay_up(by=signed_in(request), vessel=vessel, **form.answers())):
        messages.success(request, "Noted. No day is expected by hours while the boat is laid up; the months go on.")
        return redirect("upkeep:vessel", vessel.pk)
    return sending.page("workorders/upkeep/lay_up.html", vessel=vessel, stay=None)


@permission_required(Permission.EDIT_RECORDS)
def change(request: HttpRequest, pk: int) -> HttpResponse:
    """Change the days."""
    stay = get_object_or_404(LayUp.objects.select_related("vessel__owner"), pk=pk)
    form = LayUpForm(request.POST if request.method == "POST" else None, record=stay)
    sending = Submission(request, form, record=stay)

    def act() -> None:
        change_lay_up(
            by=signed_in(request),
            stay=stay,
            seen_version=form.version,
            changes=form.changes(),
            entry_id=form.cleaned_data["entry_id"],
        )

    if sending.save(act):
        messages.success(request, "Saved.")
        return redirect("upkeep:vessel", stay.vessel_id)
    return sending.page("workorders/upkeep/lay_up.html", vessel=stay.vessel, stay=stay)


@require_POST
@permission_required(Permission.EDIT_RECORDS)
def strike(request: HttpRequest, pk: int) -> HttpResponse:
    """Void a lay-up that never was."""
    stay = get_object_or_404(LayUp.objects.select_related("vessel"), pk=pk)
    if attempted(request, lambda: strike_lay_up(by=signed_in(request), stay=stay, entry_id=sent_id(request))):
        messages.success(request, "Voided: the boat was not laid up then.")
    return redirect("upkeep:vessel", stay.vessel_id)
