"""A job's estimate while it is written: its page, its terms, lines and options."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST

from billing.estimates.actions import (
    add_estimate_line,
    add_estimate_option,
    change_estimate_line,
    change_estimate_option,
    change_estimate_terms,
    discard_estimate,
    fill_estimate,
    remove_estimate_line,
    remove_estimate_option,
    start_estimate,
)
from billing.estimates.actions.filling import Source, open_faults, recommended
from billing.estimates.forms import EstimateLineForm, FillForm, OptionForm, TermsForm
from billing.estimates.models import Estimate, EstimateLine, EstimateOption, Kit
from billing.estimates.queries import draft_of, given_of, worked_out
from billing.estimates.shown import shown_draft
from billing.estimates.views.parts_sought import as_typed, is_sent
from commands.refusals import Refused
from staff.policy import Permission, permission_required
from staff.requests import signed_in
from web.moment import at_one_moment
from web.submission import Submission, accepted, attempted
from web.typed import sent_id, uuid_of, whole_number
from workorders.frames import job_frame, job_or_404
from workorders.jobparts.views import choosing


def _draft_or_404(number: int) -> Estimate:
    found = draft_of(job_or_404(number))
    if found is None:
        raise Http404
    return found


def _at(number: int, place: str = "") -> str:
    return reverse("estimates:job", args=[number]) + (f"#{place}" if place else "")


@permission_required(Permission.SEE_PRICES)
@at_one_moment
def job(request: HttpRequest, number: int) -> HttpResponse:
    """The estimate of a job: what is being written, and the versions that were given."""
    found = job_or_404(number)
    person = signed_in(request)
    shop = request.shop  # type: ignore[attr-defined]
    draft = draft_of(found)
    may_write = found.is_open and person.may(Permission.SET_PRICES)
    context = {
        "frame": job_frame(person, found, "estimates:job"),
        "job": found,
        "draft": shown_draft(worked_out(draft, currency=shop.currency), shop.currency) if draft is not None else None,
        "given": given_of(found),
        "may_write": may_write,
        "how": Estimate.HOW,
        "kits": Kit.objects.filter(is_sold=True) if may_write and draft is not None else [],
        "recommended": len(recommended(found)) if may_write and draft is not None else 0,
        "open_faults": len(open_faults(found)) if may_write and draft is not None else 0,
    }
    return render(request, "billing/estimates/job.html", context)


@permission_required(Permission.SET_PRICES)
@require_POST
def start(request: HttpRequest, number: int) -> HttpResponse:
    """Begin an estimate, or its next version."""
    found = job_or_404(number)
    attempted(request, lambda: start_estimate(by=signed_in(request), job=found, entry_id=sent_id(request)))
    return redirect(_at(number))


@permission_required(Permission.SET_PRICES)
@require_POST
def discard(request: HttpRequest, number: int) -> HttpResponse:
    """Discard what was not given."""
    found = job_or_404(number)
    revision = whole_number(request.POST.get("revision", ""), digits=4) or 0
    if attempted(
        request,
        lambda: discard_estimate(by=signed_in(request), job=found, revision=revision, entry_id=sent_id(request)),
    ):
        messages.success(request, f"Version {revision} is discarded.")
    return redirect(_at(number))


@permission_required(Permission.SET_PRICES)
@require_POST
def fill(request: HttpRequest, number: int) -> HttpResponse:
    """Fill it from the concerns, from what was recommended, from open faults, or from a kit."""
    estimate = _draft_or_404(number)
    form = FillForm(request.POST)
    source = request.POST.get("source", "")

    def act() -> None:
        if not form.is_valid() or source not in {one.value for one in Source}:
            raise Refused("Choose where the lines come from.")
        fill_estimate(
            by=signed_in(request),
            estimate=estimate,
            source=Source(source),
            kit=form.cleaned_data["kit"],
            job_line=form.cleaned_data["job_line"],
            entry_id=sent_id(request),
        )

    if attempted(request, act):
        messages.success(request, "The lines are on the estimate. Look at hours and prices.")
    return redirect(_at(number, "lines"))


@permission_required(Permission.SET_PRICES)
def terms(request: HttpRequest, number: int) -> HttpResponse:
    """Until when it holds, discount, deposit, contingency."""
    estimate = _draft_or_404(number)
    shop = request.shop  # type: ignore[attr-defined]
    form = TermsForm(request.POST if request.method == "POST" else None, estimate=estimate, shop=shop)
    sending = Submission(request, form, record=estimate)

    def act() -> None:
        change_estimate_terms(
            by=signed_in(request),
            estimate=estimate,
            seen_version=form.cleaned_data["seen_version"] or 0,
            changes=form.told(),
            entry_id=form.cleaned_data["entry_id"],
        )

    if sending.save(act):
        return redirect(_at(number, "terms"))
    return sending.page(
        "billing/estimates/form.html", job=estimate.job, title="Terms of the estimate", back=_at(number), does="Save"
    )


@permission_required(Permission.SET_PRICES)
def line_add(request: HttpRequest, number: int) -> HttpResponse:
    """One more line."""
    estimate = _draft_or_404(number)
    if choosing.is_only_looking(request):
        return _parts_found(request)
    shop = request.shop  # type: ignore[attr-defined]
    first = _first_answers(request, estimate)
    if is_sent(request):
        form = EstimateLineForm(request.POST, estimate=estimate, shop=shop, initial=first)
        made = accepted(
            form,
            lambda: add_estimate_line(
                by=signed_in(request), estimate=estimate, told=form.told(), entry_id=form.cleaned_data["entry_id"]
            ),
        )
        if made is not None:
            messages.success(request, f"“{made}” is on the estimate.")
            return redirect(_at(number, f"line-{made.key}"))
    else:
        form = EstimateLineForm(estimate=estimate, shop=shop, initial={**first, **as_typed(request)})
    context = {"form": form, "job": estimate.job, "title": "Add a line", "back": _at(number), "does": "Add the line"}
    context |= _search(request)
    return render(request, "billing/estimates/line.html", context, status=422 if form.errors else 200)


def _search(request: HttpRequest) -> dict[str, Any]:
    """What the search of the catalog on the page of a line shows."""
    text = choosing.sought(request)
    return {"text": text, "parts": choosing.found(text), "here": request.path}


def _parts_found(request: HttpRequest) -> HttpResponse:
    """The parts alone, while somebody types."""
    return render(request, "billing/estimates/parts_found.html", _search(request))


def _first_answers(request: HttpRequest, estimate: Estimate) -> dict[str, Any]:
    found: dict[str, Any] = {}
    key = uuid_of(request.GET.get("option", ""))
    option = estimate.options.filter(key=key).first() if key is not None else None
    if option is not None:
        found["option"] = option.pk
    concerns = list(estimate.job.lines.values_list("pk", flat=True)[:2])
    if len(concerns) == 1:
        found["job_line"] = concerns[0]
    return found


def _line_or_404(number: int, pk: int) -> EstimateLine:
    return get_object_or_404(
        EstimateLine.objects.select_related("estimate__job__vessel", "part", "option", "job_line"),
        pk=pk,
        estimate__job__number=number,
        estimate__given_at=None,
    )


@permission_required(Permission.SET_PRICES)
def line(request: HttpRequest, number: int, pk: int) -> HttpResponse:
    """Change a line."""
    found = _line_or_404(number, pk)
    if choosing.is_only_looking(request):
        return _parts_found(request)
    shop = request.shop  # type: ignore[attr-defined]
    back = _at(number, f"line-{found.key}")
    shown = {
        "job": found.estimate.job, "title": "Line of the estimate", "back": back, "does": "Save the line",
        **_search(request),
    }  # fmt: skip
    if request.method == "POST" and not is_sent(request):
        form = EstimateLineForm(estimate=found.estimate, shop=shop, record=found, initial=as_typed(request))
        return render(request, "billing/estimates/line.html", {"form": form, **shown})
    form = EstimateLineForm(
        request.POST if request.method == "POST" else None, estimate=found.estimate, shop=shop, record=found
    )
    sending = Submission(request, form, record=found)

    def act() -> None:
        change_estimate_line(
            by=signed_in(request),
            line=found,
            seen_version=form.cleaned_data["seen_version"] or 0,
            changes=form.told(),
            entry_id=form.cleaned_data["entry_id"],
        )

    if sending.save(act):
        return redirect(back)
    return sending.page("billing/estimates/line.html", **shown)


@permission_required(Permission.SET_PRICES)
@require_POST
def line_remove(request: HttpRequest, number: int) -> HttpResponse:
    """Remove a line from the draft."""
    estimate, key = _draft_or_404(number), uuid_of(request.POST.get("key", ""))
    if key is not None:
        attempted(
            request,
            lambda: remove_estimate_line(by=signed_in(request), estimate=estimate, key=key, entry_id=sent_id(request)),
        )
    return redirect(_at(number, "lines"))


@permission_required(Permission.SET_PRICES)
def option_add(request: HttpRequest, number: int) -> HttpResponse:
    """One more option."""
    estimate = _draft_or_404(number)
    form = OptionForm(request.POST if request.method == "POST" else None)
    if request.method == "POST":
        made = accepted(
            form,
            lambda: add_estimate_option(
                by=signed_in(request), estimate=estimate, **form.told(), entry_id=form.cleaned_data["entry_id"]
            ),
        )
        if made is not None:
            messages.success(request, f"The option “{made}” is added. Put its lines on it.")
            return redirect(_at(number, f"option-{made.key}"))
    context = {
        "form": form, "job": estimate.job, "title": "Add an option", "back": _at(number), "does": "Add the option",
    }  # fmt: skip
    return render(request, "billing/estimates/form.html", context, status=422 if form.errors else 200)


@permission_required(Permission.SET_PRICES)
def option(request: HttpRequest, number: int, pk: int) -> HttpResponse:
    """Change an option."""
    found = get_object_or_404(
        EstimateOption.objects.select_related("estimate__job__vessel"),
        pk=pk,
        estimate__job__number=number,
        estimate__given_at=None,
    )
    form = OptionForm(request.POST if request.method == "POST" else None, record=found)
    sending = Submission(request, form, record=found)

    def act() -> None:
        change_estimate_option(
            by=signed_in(request),
            option=found,
            seen_version=form.cleaned_data["seen_version"] or 0,
            changes=form.told(),
            entry_id=form.cleaned_data["entry_id"],
        )

    back = _at(number, f"option-{found.key}")
    if sending.save(act):
        return redirect(back)
    return sending.page(
        "billing/estimates/form.html", job=found.estimate.job, title=f"Option “{found}”", back=back, does="Save"
    )


@permission_required(Permission.SET_PRICES)
@require_POST
def option_remove(request: HttpRequest, number: int) -> HttpResponse:
    """Remove an option with its lines from the draft."""
    estimate, key = _draft_or_404(number), uuid_of(request.POST.get("key", ""))
    if key is not None:
        attempted(
            request,
            lambda: remove_estimate_option(
                by=signed_in(request), estimate=estimate, key=key, entry_id=sent_id(request)
            ),
        )
    return redirect(_at(number, "options"))
