"""Where each service stands: of a boat, and across the shop."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import render
from django.utils import timezone

from engineering.canonical import plain_decimal
from staff.policy import Permission, permission_required
from staff.requests import signed_in
from vessels.frames import vessel_frame
from vessels.models import Vessel
from vessels.views.hulls import vessel_or_404
from web.pager import asked_page
from web.tables import in_zone, streamed_table
from workorders.upkeep.forms.standing import DueFilterForm
from workorders.upkeep.models import Adoption, Judgment, LayUp, Reminder, ServicePlan
from workorders.upkeep.queries.due import Due, due_of
from workorders.upkeep.queries.kept import answers, every_answer, judgments
from workorders.upkeep.shown import shown, with_notes
from workorders.upkeep.wording import day_words_of, head_words, last_words, reasons

FEW = 10
MOST_COUNTED = 1000
"""More than a person goes through: beyond it nobody counts, so that the page does not grow with the shop."""
MOST_FOUND = 200
"""The same of those that words find, which no index knows: to count a thousand, all services of a shop were read."""


@permission_required(Permission.SEE_RECORDS)
def vessel(request: HttpRequest, pk: int) -> HttpResponse:
    """The services of a boat's engines, when it is laid up, and who was reminded."""
    boat = vessel_or_404(pk)
    found = with_notes(due_of(boat.pk))
    engines = list(boat.engines.filter(removed_on=None).select_related("family").order_by("position", "pk"))
    families = {engine.family_id for engine in engines if engine.family_id}
    plans = list(ServicePlan.objects.filter(family__in=families, ended_at=None))
    followed = {(one.due.followed.engine_id, one.due.followed.plan_id) for one in found}
    person = signed_in(request)
    context = {
        "frame": vessel_frame(request.user, boat, "upkeep:vessel"),
        "vessel": boat,
        "engines": [
            {
                "engine": engine,
                "services": [one for one in found if one.due.followed.engine_id == engine.pk],
                "others": [
                    plan
                    for plan in plans
                    if plan.family_id == engine.family_id and (engine.pk, plan.pk) not in followed
                ],
            }
            for engine in engines
        ],
        "strange": _of_other_families(boat),
        "stays": list(LayUp.objects.filter(vessel=boat, struck_at=None)),
        "reminders": list(Reminder.objects.filter(vessel=boat).select_related("customer", "by")[:FEW]),
        "may_log": person.may(Permission.LOG_FINDINGS),
        "may_correct": person.may(Permission.AMEND_FINDINGS),
        "removed": Adoption.objects.filter(
            engine__vessel=boat, engine__removed_on__isnull=False, ended_at=None
        ).exists(),
    }
    return render(request, "workorders/upkeep/vessel.html", context)


def _of_other_families(boat: Vessel) -> list[Adoption]:
    """What engines took up before they were said to be of another family, or of none."""
    taken = Adoption.objects.filter(engine__vessel=boat, engine__removed_on=None, ended_at=None, plan__ended_at=None)
    found = taken.select_related("engine", "plan__family").order_by("engine", "plan__name")
    return [one for one in found if one.plan.family_id != one.engine.family_id]


@permission_required(Permission.SEE_RECORDS)
def everything(request: HttpRequest) -> HttpResponse:
    """Service due across the shop, as it is kept: the same few queries however many engines follow plans."""
    form = DueFilterForm(request.GET, auto_id="filter_%s")
    kept, found = form.kept(), form.shown_of(judgments())
    page, most = asked_page(found, "place", request), MOST_FOUND if "q" in kept else MOST_COUNTED
    context: dict[str, Any] = {
        "form": form,
        "services": [shown(due) for due in answers(page.rows)],
        "count": found[: most + 1].count() if page.rows else 0,
        "most": most,
        "followed": bool(page.rows) or Judgment.objects.exists(),
        "kept": urlencode(kept),
        **page.addresses(request.path, kept),
    }
    return render(request, "workorders/upkeep/list.html", context)


HEADINGS = (
    "boat", "berth", "owner", "engine", "service", "stands", "nearest day", "why", "last time", "interval",
    "last on", "last hours", "due at hours", "hours left", "due by the calendar on",
)  # fmt: skip


@permission_required(Permission.SEE_RECORDS)
def everything_csv(request: HttpRequest) -> HttpResponseBase:
    """The same as a table to keep, all of it."""
    found = DueFilterForm(request.GET).shown_of(judgments())
    rows = in_zone(map(_cells, every_answer(found)), timezone.get_current_timezone())
    return streamed_table("service-due.csv", HEADINGS, rows)


def _cells(due: Due) -> list[str]:
    one, by_hours, by_months = due.followed, due.judged.by_hours, due.judged.by_months
    last = one.last
    return [
        one.vessel,
        one.berth,
        one.owner,
        one.engine,
        one.plan,
        head_words(due),
        day_words_of(due),
        " ".join(reasons(due)),
        last_words(due),
        one.interval_words,
        "" if last is None else last.on.isoformat(),
        "" if last is None or last.hours is None else plain_decimal(last.hours),
        "" if by_hours is None or by_hours.due_at is None else plain_decimal(by_hours.due_at),
        "" if by_hours is None or by_hours.left is None else plain_decimal(by_hours.left),
        "" if by_months is None or by_months.due_on is None else by_months.due_on.isoformat(),
    ]
