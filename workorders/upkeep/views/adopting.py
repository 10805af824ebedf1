"""Engines take up plans: all of their family in one touch, or some."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.http import require_POST

from engineering.plurals import counted
from staff.policy import Permission, permission_required
from staff.requests import signed_in
from vessels.queries.hours import last_hours_words
from vessels.views.engines import engine_or_404
from web.submission import Submission, attempted
from web.typed import sent_id
from workorders.upkeep.actions import adopt_plans, change_adoption, end_adoption
from workorders.upkeep.forms.adopting import AdoptForm, AdoptionForm
from workorders.upkeep.models import Adoption, ServicePlan


@permission_required(Permission.EDIT_RECORDS)
def adopt(request: HttpRequest, pk: int) -> HttpResponse:
    """Have an engine follow plans of its family, with what is known of the last time."""
    engine = engine_or_404(pk)
    plans = list(ServicePlan.objects.filter(family=engine.family, ended_at=None)) if engine.family else []
    followed = set(Adoption.objects.filter(engine=engine, ended_at=None).values_list("plan_id", flat=True))
    offered = plans if request.method == "POST" else [plan for plan in plans if plan.pk not in followed]
    form = AdoptForm(request.POST if request.method == "POST" else None, plans=offered)
    sending = Submission(request, form)
    if sending.save(lambda: adopt_plans(by=signed_in(request), engine=engine, **form.answers())):
        count = len(form.cleaned_data["plans"])
        messages.success(request, f"{engine} follows {counted(count, 'plan')} from now on.")
        return redirect("upkeep:vessel", engine.vessel_id)
    return sending.page(
        "workorders/upkeep/adopt.html", engine=engine, plans=offered, hours=last_hours_words(engine), adoption=None
    )


def _adoption_or_404(pk: int) -> Adoption:
    return get_object_or_404(Adoption.objects.select_related("engine__vessel__owner", "plan__family"), pk=pk)


@permission_required(Permission.EDIT_RECORDS)
def change(request: HttpRequest, pk: int) -> HttpResponse:
    """Say something else of the last time."""
    adoption = _adoption_or_404(pk)
    form = AdoptionForm(request.POST if request.method == "POST" else None, record=adoption)
    sending = Submission(request, form, record=adoption)

    def act() -> None:
        change_adoption(
            by=signed_in(request),
            adoption=adoption,
            seen_version=form.version,
            changes=form.changes(),
            entry_id=form.cleaned_data["entry_id"],
        )

    if sending.save(act):
        messages.success(request, "Saved.")
        return redirect("upkeep:vessel", adoption.engine.vessel_id)
    hours = last_hours_words(adoption.engine)
    return sending.page(
        "workorders/upkeep/adopt.html", engine=adoption.engine, adoption=adoption, plans=[adoption.plan], hours=hours
    )


@require_POST
@permission_required(Permission.EDIT_RECORDS)
def end(request: HttpRequest, pk: int) -> HttpResponse:
    """Follow a plan no longer."""
    adoption = _adoption_or_404(pk)
    if attempted(request, lambda: end_adoption(by=signed_in(request), adoption=adoption, entry_id=sent_id(request))):
        messages.success(request, f"{adoption.engine} does not follow “{adoption.plan}” any more.")
    return redirect("upkeep:vessel", adoption.engine.vessel_id)
