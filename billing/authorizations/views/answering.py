"""A customer's answer to the estimate, in steps: what is taken, how that was agreed, and the signature."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from billing.authorizations.actions import note_authorization
from billing.authorizations.answers import Chosen, Offer, changed_words, chosen, last_given, offer_of
from billing.authorizations.forms import AnswerForm
from billing.authorizations.forms.answering import Step, typed_answer
from billing.authorizations.models import Authorization
from billing.authorizations.queries import Standing, standing_of
from billing.authorizations.views.agreeing import reach_words
from billing.authorizations.views.signing import sign_page
from billing.estimates.models import Estimate
from commands.refusals import Refused
from staff.policy import Permission, permission_required
from staff.requests import signed_in
from web.submission import accepted
from web.texts import is_sound
from web.typed import whole_number
from workorders.frames import job_or_404
from workorders.models import Job

NOT_KEPT = {"seen_total", "seen_authorized", "seen_open"}
"""What a page shows of the job as it is when it is shown."""


@permission_required(Permission.SET_PRICES)
def answer(request: HttpRequest, number: int) -> HttpResponse:
    """Note which lines and options of the estimate a customer takes."""
    job = job_or_404(number)
    estimate = _asked_version(request, job)
    if estimate is None:
        messages.error(request, "No estimate was given for this job that could be answered.")
        return redirect("authorizations:job", number)
    standing, offer = standing_of(job), offer_of(estimate)
    if request.method != "POST":
        return _choose(request, job, standing, offer)
    blank = AnswerForm(job=job, standing=standing, offer=offer, step=Step.CHOOSE)
    try:
        found = chosen(offer, typed_answer(blank, request.POST.dict()))
    except Refused as problem:
        return _choose(request, job, standing, offer, problem.sentence)
    step = request.POST.get("step", "note")
    if step == "choose":
        return _choose(request, job, standing, offer)
    if step in {"look", "back"}:
        return _tell(request, job, standing, offer, found)
    return _note(request, job, standing, offer, found)


def _asked_version(request: HttpRequest, job: Job) -> Estimate | None:
    """The version that the form is of; the last one where it names none."""
    revision = whole_number(request.POST.get("revision", ""), digits=4) or 0
    named = job.estimates.filter(given_at__isnull=False, revision=revision).select_related("job").first()
    return named or last_given(job)


def _kept(request: HttpRequest, form: AnswerForm) -> dict[str, Any]:
    """What was typed so far; a tick that is not there was taken away."""
    kept: dict[str, Any] = dict(request.POST.dict())
    return kept | {name: kept.get(name, "") for name in form.choices}


def _choose(request: HttpRequest, job: Job, standing: Standing, offer: Offer, problem: str = "") -> HttpResponse:
    if changed := changed_words(offer):
        return _cannot(request, job, standing, offer, changed)
    form = AnswerForm(job=job, standing=standing, offer=offer, step=Step.CHOOSE)
    if request.method == "POST":
        form.initial = {**form.initial} | {
            name: value if name.startswith("group-") else value not in {"", "False"}
            for name, value in _kept(request, form).items()
            if name in form.choices
        }
    return _page(request, job, standing, form, problem=problem)


def _cannot(request: HttpRequest, job: Job, standing: Standing, offer: Offer, why: str) -> HttpResponse:
    """A version that nobody can answer to any more: why, and no sum that it did not say."""
    context = {
        "job": job, "standing": standing, "estimate": offer.estimate, "currency": offer.currency, "problem": why,
        "is_closed": True,
    }  # fmt: skip
    status = 422 if request.method == "POST" else 200
    return render(request, "billing/authorizations/answer.html", context, status=status)


def _tell(request: HttpRequest, job: Job, standing: Standing, offer: Offer, found: Chosen) -> HttpResponse:
    form = AnswerForm(job=job, standing=standing, offer=offer, step=Step.TELL)
    form.ask_about(found)
    typed = {
        name: value for name, value in _kept(request, form).items() if name in form.fields and name not in NOT_KEPT
    }
    form.initial = {**form.initial} | typed | {"seen_sum": found.total, "revision": offer.estimate.revision}
    return _page(request, job, standing, form, found=found)


def _note(request: HttpRequest, job: Job, standing: Standing, offer: Offer, found: Chosen) -> HttpResponse:
    form = AnswerForm(request.POST, request.FILES, job=job, standing=standing, offer=offer, step=Step.TELL)
    form.ask_about(found)
    signed = request.POST.get("step") == "sign"
    if form.is_valid() and form.cleaned_data["seen_sum"] is None:
        form.cleaned_data["seen_sum"] = found.total
    if is_sound(form) and form.is_to_be_signed and not signed:
        return sign_page(request, job, form, standing, answered=(offer, found))
    made = accepted(form, lambda: note_authorization(by=signed_in(request), job=job, **form.answers()))
    if made is not None:
        messages.success(request, answered_words(made))
        return redirect("authorizations:job", job.number)
    form.look_again(standing)
    if signed and form.is_told:
        return sign_page(request, job, form, standing, answered=(offer, found))
    return _page(request, job, standing, form, found=found)


def answered_words(made: Authorization) -> str:
    """What is said once an answer to an estimate is noted."""
    none = "" if made.amount else " Nothing of it may be charged."
    return f"The answer is noted.{none} {reach_words(made, it='its sum', that='its sum')}".rstrip()


def _page(
    request: HttpRequest,
    job: Job,
    standing: Standing,
    form: AnswerForm,
    *,
    found: Chosen | None = None,
    problem: str = "",
) -> HttpResponse:
    offer = form.offer
    is_wrong = bool(problem or (form.is_bound and form.errors))
    context = {
        "job": job,
        "form": form,
        "standing": standing,
        "estimate": offer.estimate,
        "currency": offer.currency,
        "found": found,
        "otherwise": [one for one in found.pieces if found.is_chosen_otherwise(one) and not one.is_taken]
        if found
        else [],
        "problem": problem,
    }
    return render(request, "billing/authorizations/answer.html", context, status=422 if is_wrong else 200)
