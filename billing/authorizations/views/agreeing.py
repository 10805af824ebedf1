"""The pages of authorizations."""

from __future__ import annotations

from collections.abc import Callable

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse

from billing.authorizations.actions import go_on, let_stopped_go, note_authorization, withdraw_authorization
from billing.authorizations.answers import last_given
from billing.authorizations.forms import AuthorizationForm, GoOnForm, LetGoForm, WithdrawForm
from billing.authorizations.guarding import in_all_words, limit_words, past_words
from billing.authorizations.models import Authorization
from billing.authorizations.queries import authorizations_of, standing_of
from billing.authorizations.stopped import stop_of, with_answers
from billing.authorizations.views.signing import sign_page
from staff.policy import Permission, permission_required
from staff.requests import signed_in
from vessels.forms.fields import EntryForm
from web.moment import at_one_moment
from web.submission import accepted
from web.texts import is_sound
from workorders.frames import job_or_404
from workorders.models import Job
from workorders.money import money_words


def _page(request: HttpRequest, job: Job, form: AuthorizationForm | None) -> HttpResponse:
    person = signed_in(request)
    standing = standing_of(job)
    stopped = with_answers(job)
    context = {
        "job": job,
        "form": form,
        "standing": standing,
        "words": limit_words(standing),
        "rows": authorizations_of(job),
        "goings_on": job.goings_on.select_related("noted_by").order_by("-pk"),
        "estimate": last_given(job),
        "deferred": job.deferred.order_by("pk"),
        "stopped": [(one, stop_of(one).words(standing.currency)) for one in stopped],
        "has_open_stops": any(one.is_open for one in stopped),  # type: ignore[attr-defined]
        "may_note": job.is_open and person.may(Permission.SET_PRICES),
        "may_exceed_sum": job.is_open and standing.limit.sum is not None and person.may(Permission.GO_BEYOND),
    }
    return render(request, "billing/authorizations/job.html", context, status=422 if form and form.errors else 200)


@permission_required(Permission.SEE_PRICES, to_post=Permission.SET_PRICES)
@at_one_moment
def job(request: HttpRequest, number: int) -> HttpResponse:
    """What was authorized on a job, and a form for the next answer."""
    found = job_or_404(number)
    standing = standing_of(found)
    posted = request.method == "POST"
    if posted and request.POST.get("step") == "back":
        form = AuthorizationForm(initial=request.POST.dict(), job=found, standing=standing)
        return _page(request, found, form)
    form = AuthorizationForm(
        request.POST if posted else None, request.FILES if posted else None, job=found, standing=standing
    )
    if posted:
        if is_sound(form) and form.is_to_be_signed and request.POST.get("step") != "sign":
            return sign_page(request, found, form, standing)
        made = accepted(form, lambda: note_authorization(by=signed_in(request), job=found, **form.answers()))
        if made is not None:
            messages.success(request, noted_words(made))
            return redirect("authorizations:job", number)
        form.look_again(standing)
        if request.POST.get("step") == "sign" and form.is_told:
            return sign_page(request, found, form, standing)
    return _page(request, found, form)


def noted_words(made: Authorization) -> str:
    """What is said once it is noted."""
    if made.is_open:
        return "It is noted: time and materials, with no ceiling. No sum stops a charge."
    said = "It is noted." if made.amount else "It is noted, with a sum of zero."
    return f"{said} {reach_words(made)}".rstrip()


def reach_words(made: Authorization, *, it: str = "it", that: str = "that") -> str:
    """How far charges may go now that it is noted, or that they are past it already; it is called as is said."""
    standing = standing_of(Job.objects.get(pk=made.job_id))
    if standing.limit.authorized is None:
        return "No sum stops a charge." if standing.limit.is_open else ""
    past = past_words(standing, in_all_words(standing) if made.adds else that)
    if past or not made.amount:
        return past
    if made.adds:
        return f"Charges may go up to {money_words(standing.limit.authorized, standing.currency)} in all."
    return f"Charges may go up to {it}."


def withdrawn_words(job: Job) -> str:
    """What is said once an authorization was withdrawn."""
    standing = standing_of(Job.objects.get(pk=job.pk))
    return f"It no longer stands. {past_words(standing, in_all_words(standing))}".rstrip()


def _act_page(
    request: HttpRequest, job: Job, form: EntryForm, act: Callable[[], object], said: Callable[[], str], **words: str
) -> HttpResponse:
    """The page of one act with a reason; back to the authorization once it is done. ``said`` tells it then."""
    back = reverse("authorizations:job", args=[job.number])
    if request.method == "POST" and accepted(form, act) is not None:
        messages.success(request, said())
        return redirect(back)
    context = {"job": job, "form": form, "back": back, **words}
    return render(request, "billing/authorizations/act.html", context, status=422 if form.errors else 200)


@permission_required(Permission.GO_BEYOND)
def go_on_page(request: HttpRequest, number: int) -> HttpResponse:
    """Go on past what was authorized, with a reason."""
    found = job_or_404(number)
    form = GoOnForm(request.POST if request.method == "POST" else None, shop=request.shop)  # type: ignore[attr-defined]
    return _act_page(
        request, found, form, lambda: go_on(by=signed_in(request), job=found, **form.answers()),
        lambda: "Charges may go on. Ask the customer as soon as you can.", title="Go on past the authorized sum",
        does="Go on", lede=limit_words(standing_of(found)),
    )  # fmt: skip


@permission_required(Permission.SET_PRICES)
def let_go(request: HttpRequest, number: int) -> HttpResponse:
    """Ask nobody any more about the charges that were stopped."""
    found = job_or_404(number)
    form = LetGoForm(request.POST if request.method == "POST" else None)
    return _act_page(
        request, found, form, lambda: let_stopped_go(by=signed_in(request), job=found, **form.answers()),
        lambda: "Nobody is asked about it any more.", title="Let stopped charges go", does="Let them go",
        lede="They are not made, and the call list asks about them no more. That they were stopped stays.",
    )  # fmt: skip


@permission_required(Permission.SET_PRICES)
def withdraw(request: HttpRequest, number: int, pk: int) -> HttpResponse:
    """Note that an authorization no longer stands."""
    found = get_object_or_404(Authorization.objects.select_related("job__vessel"), pk=pk, job__number=number)
    form = WithdrawForm(request.POST if request.method == "POST" else None)
    return _act_page(
        request, found.job, form,
        lambda: withdraw_authorization(by=signed_in(request), authorization=found, **form.answers()),
        lambda: withdrawn_words(found.job), title="Withdraw an authorization", does="Withdraw it",
        lede="It stays visible, and counts for nothing.",
    )  # fmt: skip
