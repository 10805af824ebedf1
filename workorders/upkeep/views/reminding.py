"""The list of owners to call or write to about service due."""

from __future__ import annotations

from typing import Any
from uuid import uuid4

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST

from staff.policy import Permission, permission_required
from staff.requests import signed_in
from vessels.views.hulls import vessel_or_404
from web.submission import attempted
from web.typed import sent_id, whole_number
from workorders.upkeep.actions import note_reminder
from workorders.upkeep.models import Reminder
from workorders.upkeep.queries.calling import to_remind, to_remind_of

PAGE = 20
NOTHING_DUE = "nothing was due by the records of that day"


@permission_required(Permission.SEE_RECORDS)
def reminders(request: HttpRequest) -> HttpResponse:
    """Who to call or write, with what is due and when they were last reminded."""
    found = to_remind()
    page = max(1, whole_number(request.GET.get("page", ""), digits=5) or 1)
    page = min(page, max(1, -(-len(found) // PAGE)))
    shop = request.shop  # type: ignore[attr-defined]
    context: dict[str, Any] = {
        "found": [
            {"one": one, "mail": one.mail(shop.name, shop.phone), "entry_id": uuid4()}
            for one in found[(page - 1) * PAGE : page * PAGE]
        ],
        "count": len(found),
        "ways": Reminder.WAYS,
        "may_note": signed_in(request).may(Permission.REMIND_OWNERS),
        "previous_url": f"{request.path}?page={page - 1}" if page > 1 else "",
        "next_url": f"{request.path}?page={page + 1}" if page * PAGE < len(found) else "",
    }
    return render(request, "workorders/upkeep/reminders.html", context)


@require_POST
@permission_required(Permission.REMIND_OWNERS)
def note(request: HttpRequest, pk: int) -> HttpResponse:
    """Note that the owner of a boat was reminded."""
    vessel = vessel_or_404(pk)
    due = to_remind_of(vessel.pk)

    def act() -> None:
        note_reminder(
            by=signed_in(request),
            vessel=vessel,
            way=request.POST.get("way", ""),
            told=due.told if due is not None else NOTHING_DUE,
            remark=request.POST.get("remark", "").replace("\0", ""),
            entry_id=sent_id(request),
        )

    if attempted(request, act):
        messages.success(request, f"Noted: {vessel.owner} was reminded of {vessel}.")
    return redirect("upkeep:reminders")
