"""The shop's service plans: list, add, change, end."""

from __future__ import annotations

from django.contrib import messages
from django.db.models import Count, Q
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST

from staff.policy import Permission, permission_required
from staff.requests import signed_in
from web.submission import Submission, attempted
from web.typed import sent_id, whole_number
from workorders.upkeep.actions import add_plan, change_plan, end_plan
from workorders.upkeep.forms.planning import PlanForm
from workorders.upkeep.models import ServicePlan

FOLLOWING = Count("adoptions", filter=Q(adoptions__ended_at=None, adoptions__engine__removed_on=None))


@permission_required(Permission.SEE_RECORDS)
def plans(request: HttpRequest) -> HttpResponse:
    """All plans by family, those in use first."""
    found = ServicePlan.objects.select_related("family", "ended_by", "kit").annotate(following=FOLLOWING)
    ordered = list(found.order_by("family__maker", "family__name", "name", "pk"))
    context = {
        "plans": [plan for plan in ordered if plan.ended_at is None],
        "ended": [plan for plan in ordered if plan.ended_at is not None],
        "may_edit": signed_in(request).may(Permission.EDIT_SERVICE_PLANS),
    }
    return render(request, "workorders/upkeep/plans.html", context)


@permission_required(Permission.EDIT_SERVICE_PLANS)
def add(request: HttpRequest) -> HttpResponse:
    """Write down a plan."""
    family = whole_number(request.GET.get("family", ""))
    known = {} if family is None else {"family": family}
    form = PlanForm(request.POST if request.method == "POST" else None, initial=known)
    sending = Submission(request, form)
    if sending.save(lambda: add_plan(by=signed_in(request), **form.answers())):
        messages.success(
            request, f"“{form.cleaned_data['name']}” is a plan now. Have engines follow it on their boats’ pages."
        )
        return redirect("upkeep:plans")
    return sending.page("workorders/upkeep/plan_form.html", plan=None)


@permission_required(Permission.SEE_RECORDS, to_post=Permission.EDIT_SERVICE_PLANS)
def change(request: HttpRequest, pk: int) -> HttpResponse:
    """A plan with what it was before, and the form to change it."""
    plan = get_object_or_404(ServicePlan.objects.select_related("family", "kit"), pk=pk)
    form = PlanForm(request.POST if request.method == "POST" else None, record=plan)
    sending = Submission(request, form, record=plan)

    def act() -> None:
        change_plan(
            by=signed_in(request),
            plan=plan,
            seen_version=form.version,
            changes=form.changes(),
            entry_id=form.cleaned_data["entry_id"],
        )

    if sending.save(act):
        messages.success(request, "Saved. What was done before keeps the plan as it was.")
        return redirect("upkeep:plan", plan.pk)
    versions = list(plan.versions.select_related("by").order_by("-number"))
    may_edit = plan.ended_at is None and signed_in(request).may(Permission.EDIT_SERVICE_PLANS)
    return sending.page("workorders/upkeep/plan_form.html", plan=plan, versions=versions, may_edit=may_edit)


@require_POST
@permission_required(Permission.EDIT_SERVICE_PLANS)
def end(request: HttpRequest, pk: int) -> HttpResponse:
    """End a plan."""
    plan = get_object_or_404(ServicePlan, pk=pk)
    if attempted(request, lambda: end_plan(by=signed_in(request), plan=plan, entry_id=sent_id(request))):
        messages.success(request, f"“{plan}” has ended. Nothing is due by it any more.")
    return redirect("upkeep:plans")
