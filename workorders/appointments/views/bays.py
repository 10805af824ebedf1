"""The shop's bays."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.http import require_POST

from staff.policy import Permission, permission_required
from staff.requests import signed_in
from web.submission import Submission, attempted
from web.typed import sent_id
from workorders.appointments.actions import add_bay, change_bay, end_bay
from workorders.appointments.forms import BayForm
from workorders.appointments.models import Bay


@permission_required(Permission.SEE_RECORDS, to_post=Permission.EDIT_BAYS)
def bays(request: HttpRequest) -> HttpResponse:
    """Every bay, and the form for one more."""
    form = BayForm(request.POST if request.method == "POST" else None)
    sending = Submission(request, form)
    if sending.save(lambda: add_bay(by=signed_in(request), **form.answers())):
        messages.success(request, f"{form.cleaned_data['name']} can be planned from now on.")
        return redirect("appointments:bays")
    found = list(Bay.objects.all())
    return sending.page(
        "workorders/appointments/bays.html",
        bays=[bay for bay in found if bay.ended_at is None],
        ended=[bay for bay in found if bay.ended_at is not None],
        may_edit=signed_in(request).may(Permission.EDIT_BAYS),
    )


@permission_required(Permission.EDIT_BAYS)
def change(request: HttpRequest, pk: int) -> HttpResponse:
    """Change a bay."""
    found = get_object_or_404(Bay, pk=pk)
    form = BayForm(request.POST if request.method == "POST" else None, record=found)
    sending = Submission(request, form, record=found)

    def act() -> None:
        change_bay(
            by=signed_in(request),
            bay=found,
            seen_version=form.version,
            changes=form.changes(),
            entry_id=form.cleaned_data["entry_id"],
        )

    if sending.save(act):
        messages.success(request, "Saved.")
        return redirect("appointments:bays")
    return sending.page("workorders/appointments/bay.html", bay=found)


@require_POST
@permission_required(Permission.EDIT_BAYS)
def end(request: HttpRequest, pk: int) -> HttpResponse:
    """A bay is no longer used."""
    found = get_object_or_404(Bay, pk=pk)
    if attempted(request, lambda: end_bay(by=signed_in(request), bay=found, entry_id=sent_id(request))):
        messages.success(request, f"{found} is no longer used. What was planned there stays as it is.")
    return redirect("appointments:bays")
