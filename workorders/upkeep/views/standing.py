"""Where each service stands: of a boat, and across the shop."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from engineering.canonical import plain_decimal
from staff.policy import Permission, permission_required
from staff.requests import signed_in
from vessels.frames import vessel_frame
from vessels.models import Vessel
from vessels.views.hulls import vessel_or_404
from web.tables import table
from web.typed import whole_number
from workorders.upkeep.forms.standing import ASKED, DueFilterForm
from workorders.upkeep.models import Adoption, LayUp, Reminder, ServicePlan
from workorders.upkeep.queries.due import Due, due_of
from workorders.upkeep.shown import shown, with_notes
from workorders.upkeep.wording import day_words_of, head_words, last_words, reasons

PAGE = 40
FEW = 10


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
    """Service due across the shop."""
    form = DueFilterForm(request.GET, auto_id="filter_%s")
    standing, text = form.chosen()
    everything_due = due_of()
    found = [due for due in everything_due if form.shows(due)]
    page = max(1, whole_number(request.GET.get("page", ""), digits=5) or 1)
    page = min(page, max(1, -(-len(found) // PAGE)))
    kept = {
        name: value for name, value in {"standing": standing if standing != ASKED else "", "q": text}.items() if value
    }

    def address(number: int) -> str:
        return f"{request.path}?{urlencode({**kept, 'page': number})}"

    context: dict[str, Any] = {
        "form": form,
        "services": [shown(due) for due in found[(page - 1) * PAGE : page * PAGE]],
        "count": len(found),
        "followed": len(everything_due),
        "kept": urlencode(kept),
        "previous_url": address(page - 1) if page > 1 else "",
        "next_url": address(page + 1) if page * PAGE < len(found) else "",
    }
    return render(request, "workorders/upkeep/list.html", context)


HEADINGS = (
    "boat", "berth", "owner", "engine", "service", "stands", "nearest day", "why", "last time", "interval",
    "last on", "last hours", "due at hours", "hours left", "due by the calendar on",
)  # fmt: skip


@permission_required(Permission.SEE_RECORDS)
def everything_csv(request: HttpRequest) -> HttpResponse:
    """The same as a table to keep, all of it."""
    form = DueFilterForm(request.GET)
    return table("service-due.csv", HEADINGS, [_cells(due) for due in due_of() if form.shows(due)])


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
