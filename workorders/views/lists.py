"""Jobs in lists: the board, every job by number, the jobs of a vessel."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import render
from django.urls import reverse

from staff.policy import Permission, permission_required
from staff.queries import technicians
from staff.requests import signed_in
from vessels.frames import vessel_frame
from vessels.views.hulls import vessel_or_404
from web.pager import asked_page
from web.typed import whole_number
from workorders.drawing import drawn_jobs
from workorders.forms.board import BoardFilterForm, ListFilterForm
from workorders.models import Job
from workorders.queries import board, jobs_of_vessel
from workorders.queries.jobs import NEWEST_FIRST
from workorders.queries.listing import NOBODY, listed_jobs
from workorders.tables import jobs_table, list_headings
from workorders.worth import worth_of_jobs


@permission_required(Permission.SEE_RECORDS)
def board_page(request: HttpRequest) -> HttpResponse:
    """Open jobs by state."""
    form = BoardFilterForm(request.GET, person=signed_in(request), auto_id="filter_%s")
    chosen = form.chosen()
    who = chosen.get("technician", "")
    key = whole_number(who)
    shown = board(
        technician=None if key is None else technicians().filter(pk=key).first(),
        nobody=who == NOBODY,
        location=chosen.get("location", ""),
        overdue=chosen.get("overdue", False),
    )
    context = {
        "form": form,
        "board": shown,
        "is_filtered": bool(chosen),
        "may_open": signed_in(request).may(Permission.OPEN_JOBS),
        "is_new_shop": not shown.count and not chosen and not Job.objects.exists(),
    }
    return render(request, "workorders/board.html", context)


@permission_required(Permission.SEE_RECORDS)
def all_jobs(request: HttpRequest) -> HttpResponse:
    """Jobs by what is asked for, in the order that is asked for; the address says both."""
    form = ListFilterForm(request.GET, auto_id="filter_%s")
    wanted, kept = form.wanted(), form.kept()
    page = asked_page(listed_jobs(wanted), wanted.order, request, falling=wanted.is_falling)
    sums, currency = None, request.shop.currency  # type: ignore[attr-defined]
    if signed_in(request).may(Permission.SEE_PRICES):
        sums = worth_of_jobs(page.rows, currency=currency)
    context = {
        "form": form,
        "page": page,
        "wanted": wanted,
        "headings": list_headings(wanted, kept, request.path),
        "kept": urlencode(kept),
        "is_filtered": bool(kept.keys() - {"sort"}),
        "rows": drawn_jobs(page.rows, sums, currency),
        **page.addresses(request.path, kept),
    }
    return render(request, "workorders/list.html", context)


@permission_required(Permission.SEE_RECORDS)
def all_jobs_csv(request: HttpRequest) -> HttpResponseBase:
    """The same as a table to keep, all of it; with sums for those who see prices."""
    wanted = ListFilterForm(request.GET).wanted()
    return jobs_table(wanted, with_sums=signed_in(request).may(Permission.SEE_PRICES))


@permission_required(Permission.SEE_RECORDS)
def vessel_jobs(request: HttpRequest, pk: int) -> HttpResponse:
    """Every job of a vessel, newest first."""
    vessel = vessel_or_404(pk)
    page = asked_page(jobs_of_vessel(vessel), NEWEST_FIRST, request)
    context: dict[str, Any] = {
        "frame": vessel_frame(request.user, vessel, "workorders:vessel_jobs"),
        "vessel": vessel,
        "page": page,
        "may_open": signed_in(request).may(Permission.OPEN_JOBS),
        "open_url": f"{reverse('workorders:open')}?vessel={vessel.pk}",
        **page.addresses(request.path, {}),
    }
    return render(request, "workorders/vessel_jobs.html", context)
