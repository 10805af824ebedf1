"""Deferred work: across the shop, and made a line of a job in one touch."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

from django.contrib import messages
from django.db.models import Q, QuerySet
from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from billing.authorizations.actions import drop_deferred, reopen_deferred, take_up_deferred
from billing.authorizations.deferred import concern_of
from billing.authorizations.forms import DeferredFilterForm, WhyForm
from billing.authorizations.models import DeferredWork
from commands.envelope import together
from staff.policy import Permission, permission_required
from staff.queries import local_day, shop_profile
from staff.requests import signed_in
from vessels.log.chain import following_id
from web.pager import asked_page
from web.submission import accepted, attempted
from web.tables import streamed_table
from web.typed import sent_id
from workorders.actions import add_line
from workorders.frames import job_or_404

NEWEST_FIRST = "-pk"
HEADINGS = (
    "boat", "owner", "engine", "work", "one of", "sum then with tax", "currency", "declined on", "by", "why",
    "touches safety", "job", "estimate version", "state", "taken up on job", "reason",
)  # fmt: skip


def _filtered(form: DeferredFilterForm) -> QuerySet[DeferredWork]:
    state, text, safety = form.chosen()
    rows = DeferredWork.objects.select_related("vessel__owner", "engine", "job")
    if state != "all":
        rows = rows.filter(state=state)
    if safety:
        rows = rows.filter(is_safety=True)
    if text:
        rows = rows.filter(
            Q(vessel__name__icontains=text) | Q(vessel__owner__name__icontains=text) | Q(what__icontains=text)
        )
    return rows.prefetch_related("steps__job", "steps__by")


@permission_required(Permission.SEE_PRICES)
def everything(request: HttpRequest) -> HttpResponse:
    """What customers declined, across the shop."""
    form = DeferredFilterForm(request.GET, auto_id="filter_%s")
    state, text, safety = form.chosen()
    kept = {"state": state if state != DeferredWork.OPEN else "", "q": text, "safety": "on" if safety else ""}
    page = asked_page(_filtered(form), NEWEST_FIRST, request)
    context: dict[str, Any] = {
        "form": form,
        "page": page,
        "kept": urlencode({name: value for name, value in kept.items() if value}),
        "may_drop": signed_in(request).may(Permission.SET_PRICES),
        **page.addresses(request.path, kept),
    }
    return render(request, "billing/authorizations/deferred.html", context)


@permission_required(Permission.SEE_PRICES)
@require_safe
def everything_csv(request: HttpRequest) -> HttpResponseBase:
    """The same as a table to keep, whole."""
    currency = shop_profile().currency
    rows = _filtered(DeferredFilterForm(request.GET)).order_by("pk")
    return streamed_table("deferred-work.csv", HEADINGS, (_cells(one, currency) for one in rows.iterator(500)))


def _cells(work: DeferredWork, currency: str) -> list[str]:
    steps = list(work.steps.all())
    last = steps[-1] if steps else None
    return [
        str(work.vessel),
        str(work.vessel.owner),
        str(work.engine or ""),
        work.what,
        work.alternatives,
        str(work.amount),
        currency,
        local_day(work.declined_at).isoformat(),
        work.declined_by,
        work.why,
        "yes" if work.is_safety else "no",
        str(work.job.number),
        str(work.revision),
        work.get_state_display(),
        str(last.job.number) if last is not None and last.job is not None else "",
        last.reason if last is not None else "",
    ]


@permission_required(Permission.SET_PRICES)
def drop(request: HttpRequest, pk: int) -> HttpResponse:
    """Offer it no longer, with the reason."""
    return _act(request, pk, drop_deferred, ("Drop deferred work", "Drop it", "it is no longer offered."))


@permission_required(Permission.SET_PRICES)
def reopen(request: HttpRequest, pk: int) -> HttpResponse:
    """Offer it again, with the reason."""
    return _act(request, pk, reopen_deferred, ("Offer deferred work again", "Offer it again", "it is offered again."))


def _act(request: HttpRequest, pk: int, action: Any, words: tuple[str, str, str]) -> HttpResponse:
    title, does, done = words
    work = get_object_or_404(DeferredWork.objects.select_related("vessel"), pk=pk)
    form = WhyForm(request.POST if request.method == "POST" else None)
    if request.method == "POST":
        made = accepted(form, lambda: action(by=signed_in(request), deferred=work, **form.answers()))
        if made is not None:
            messages.success(request, f"“{work}”: {done}")
            return redirect("authorizations:deferred")
    context = {
        "form": form, "title": title, "does": does, "lede": f"“{work}”, {work.vessel}.",
        "back": reverse("authorizations:deferred"), "back_words": "Deferred work",
    }  # fmt: skip
    return render(request, "billing/authorizations/act.html", context, status=422 if form.errors else 200)


@require_POST
@permission_required(Permission.OPEN_JOBS)
def add_to_job(request: HttpRequest, number: int, pk: int) -> HttpResponse:
    """Make deferred work a line of a job."""
    job = job_or_404(number)
    work = get_object_or_404(DeferredWork.objects.select_related("engine"), pk=pk, vessel=job.vessel_id)
    entry_id = sent_id(request)

    @together()
    def act() -> None:
        line = add_line(by=signed_in(request), job=job, concern=concern_of(work), engine=work.engine, entry_id=entry_id)
        key = following_id(entry_id, f"deferred-{work.pk}")
        take_up_deferred(by=signed_in(request), deferred=work, line=line, entry_id=key)

    if attempted(request, act):
        messages.success(request, f"“{work}” is a line of job {job.number} now.")
    return redirect(f"{reverse('workorders:lines', args=[number])}#deferred")
