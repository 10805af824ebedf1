"""Giving an estimate to the customer, and the versions that were given."""

from __future__ import annotations

from decimal import Decimal, InvalidOperation

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from billing.estimates.actions import charge_estimate, give_estimate
from billing.estimates.answered import answer_words, standing_answer
from billing.estimates.forms import TakenForm
from billing.estimates.models import Estimate
from billing.estimates.paper import take_paper
from billing.estimates.queries import draft_of
from billing.estimates.record import thawed
from billing.estimates.tasks import DRAW_ESTIMATE
from billing.estimates.to_charge import choices, discount_words, not_in_version
from files.paper import signing
from files.paper.later import Paper, handed_out
from staff.policy import Permission, permission_required
from staff.queries import local_day
from staff.requests import signed_in
from web.moment import at_one_moment
from web.submission import accepted, attempted
from web.typed import sent_id, whole_number
from workorders.frames import job_frame, job_or_404


@permission_required(Permission.SET_PRICES)
@require_POST
def give(request: HttpRequest, number: int) -> HttpResponse:
    """Freeze the draft as it is given; a worker draws its paper."""
    job = job_or_404(number)
    revision = whole_number(request.POST.get("revision", ""), digits=4) or 0
    estimate = Estimate.objects.filter(job=job, revision=revision).select_related("job__vessel").first() or draft_of(
        job
    )
    if estimate is None:
        raise Http404
    found = estimate
    try:
        seen = Decimal(request.POST.get("seen_total", "")).quantize(Decimal("0.01"))
    except InvalidOperation:
        seen = Decimal(-1)
    if not seen.is_finite():
        seen = Decimal(-1)
    if not attempted(
        request,
        lambda: give_estimate(
            by=signed_in(request),
            estimate=found,
            how=request.POST.get("how", ""),
            seen_total=seen,
            entry_id=sent_id(request),
        ),
    ):
        return redirect("estimates:job", number)
    return redirect("estimates:given", number, found.revision)


def _given_or_404(number: int, revision: int) -> Estimate:
    return get_object_or_404(
        Estimate.objects.select_related("job__vessel", "given_by", "replaces"),
        job__number=number,
        revision=revision,
        given_at__isnull=False,
    )


@permission_required(Permission.SEE_PRICES)
@at_one_moment
def given(request: HttpRequest, number: int, revision: int) -> HttpResponse:
    """A version as it was given."""
    estimate = _given_or_404(number, revision)
    job = job_or_404(number)
    person = signed_in(request)
    later = job.estimates.filter(revision__gt=revision, given_at__isnull=False).order_by("-revision").first()
    context = {
        "frame": job_frame(person, job, "estimates:job"),
        "job": job,
        "estimate": estimate,
        "record": thawed(estimate),
        "answered": answer_words(estimate),
        "later": later,
        "has_run_out": estimate.has_run_out_by(local_day(timezone.now())),
        "may_write": person.may(Permission.SET_PRICES),
    }
    return render(request, "billing/estimates/given.html", context)


@permission_required(Permission.SEE_PRICES)
def pdf(request: HttpRequest, number: int, revision: int) -> HttpResponse:
    """The paper as it was signed; while it is being drawn, how far that is."""
    estimate = _given_or_404(number, revision)
    paper = Paper(
        DRAW_ESTIMATE.name,
        str(estimate.pk),
        called=f"Estimate {number}, version {revision}",
        name=f"estimate-{number}-{revision}",
        back=reverse("estimates:given", args=[number, revision]),
        lacking="" if estimate.pdf_sha256 else signing.why_no_certificate(),
    )
    return handed_out(request, paper, lambda: take_paper(estimate))


@permission_required(Permission.SET_PRICES)
@at_one_moment
def charge(request: HttpRequest, number: int, revision: int) -> HttpResponse:
    """Charge a given version on its job, with the options that the customer took."""
    estimate = _given_or_404(number, revision)
    found = choices(estimate)
    form = TakenForm(request.POST if request.method == "POST" else None, choices=found)
    if request.method == "POST":
        done = accepted(form, lambda: charge_estimate(by=signed_in(request), estimate=estimate, **form.answers()))
        if done is not None:
            said = f"What was selected of the {str(estimate).lower()} is charged."
            if not any(one.is_offered for one in found):
                said = f"The discount on the job is that of the {str(estimate).lower()} now."
            messages.success(request, said)
            return redirect(f"{reverse('workorders:lines', args=[number])}#charges")
    context = {
        "job": estimate.job,
        "estimate": estimate,
        "form": form,
        "on_job": [one for one in found if not one.is_offered and one.on_job],
        "discount": discount_words(estimate),
        "not_in_version": not_in_version(estimate),
        "answer": standing_answer(estimate),
    }
    return render(request, "billing/estimates/charge.html", context, status=422 if form.errors else 200)
