"""The pages of authorizations."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from billing.authorizations.actions import (
    change_authorization_rules,
    go_on,
    note_authorization,
    withdraw_authorization,
)
from billing.authorizations.examples import EXAMPLES
from billing.authorizations.forms import AuthorizationForm, GoOnForm, RulesForm, WithdrawForm
from billing.authorizations.guarding import limit_words
from billing.authorizations.models import Authorization
from billing.authorizations.queries import authorizations_of, rules, standing_of
from staff.policy import Permission, permission_required
from staff.requests import signed_in
from web.submission import Submission, accepted
from workorders.frames import job_or_404
from workorders.models import Job


def _page(request: HttpRequest, job: Job, form: AuthorizationForm | None) -> HttpResponse:
    person = signed_in(request)
    standing = standing_of(job)
    context = {
        "job": job,
        "form": form,
        "standing": standing,
        "words": limit_words(standing),
        "rows": authorizations_of(job),
        "goings_on": job.goings_on.select_related("noted_by").order_by("-pk"),
        "may_note": job.is_open and person.may(Permission.SET_PRICES),
        "may_go_on": job.is_open and standing.limit.sum is not None and person.may(Permission.GO_BEYOND),
    }
    return render(request, "billing/authorizations/job.html", context, status=422 if form and form.errors else 200)


@permission_required(Permission.SEE_PRICES, to_post=Permission.SET_PRICES)
def job(request: HttpRequest, number: int) -> HttpResponse:
    """What was authorized on a job, and a form for the next answer."""
    found = job_or_404(number)
    form = AuthorizationForm(request.POST if request.method == "POST" else None, job=found, standing=standing_of(found))
    if request.method == "POST":
        made = accepted(form, lambda: note_authorization(by=signed_in(request), job=found, **form.answers()))
        if made is not None:
            messages.success(request, "It is noted. Charges may go up to it.")
            return redirect("authorizations:job", number)
    return _page(request, found, form)


@permission_required(Permission.GO_BEYOND)
def go_on_page(request: HttpRequest, number: int) -> HttpResponse:
    """Go on past what was authorized, with a reason."""
    found = job_or_404(number)
    form = GoOnForm(request.POST if request.method == "POST" else None, shop=request.shop)  # type: ignore[attr-defined]
    if request.method == "POST":
        made = accepted(form, lambda: go_on(by=signed_in(request), job=found, **form.answers()))
        if made is not None:
            messages.success(request, "Charges may go on. Ask the customer as soon as you can.")
            return redirect("authorizations:job", number)
    context = {
        "job": found, "form": form, "title": "Go on past the authorized sum", "does": "Go on",
        "lede": limit_words(standing_of(found)),
    }  # fmt: skip
    return render(request, "billing/authorizations/act.html", context, status=422 if form.errors else 200)


@permission_required(Permission.SET_PRICES)
def withdraw(request: HttpRequest, number: int, pk: int) -> HttpResponse:
    """Note that an authorization no longer stands."""
    found = get_object_or_404(Authorization.objects.select_related("job__vessel"), pk=pk, job__number=number)
    form = WithdrawForm(request.POST if request.method == "POST" else None)
    if request.method == "POST":
        made = accepted(
            form, lambda: withdraw_authorization(by=signed_in(request), authorization=found, **form.answers())
        )
        if made is not None:
            messages.success(request, "It no longer stands.")
            return redirect("authorizations:job", number)
    context = {
        "job": found.job, "form": form, "title": "Withdraw an authorization", "does": "Withdraw it",
        "lede": "It stays visible, and counts for nothing.",
    }  # fmt: skip
    return render(request, "billing/authorizations/act.html", context, status=422 if form.errors else 200)


@permission_required(Permission.MANAGE_SHOP)
def rules_page(request: HttpRequest) -> HttpResponse:
    """What the shop allows on top of an authorized sum, with what the law of a place asks for as an example."""
    own = rules()
    shop = request.shop  # type: ignore[attr-defined]
    form = RulesForm(request.POST if request.method == "POST" else None, record=own, shop=shop)
    sending = Submission(request, form, record=own)

    def act() -> None:
        change_authorization_rules(
            by=signed_in(request),
            rules=own,
            seen_version=form.cleaned_data["seen_version"] or 0,
            changes=form.told(),
            entry_id=form.cleaned_data["entry_id"],
        )

    if sending.save(act):
        messages.success(request, "The rules are saved.")
        return redirect("authorizations:rules")
    return sending.page("billing/authorizations/rules.html", examples=EXAMPLES)
