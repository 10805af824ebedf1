"""The week page."""

from __future__ import annotations

from datetime import timedelta

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from shopfloor.week.page import EARLIEST, LATEST, asked_week, monday_of, week_of
from staff.policy import Permission, permission_required
from staff.requests import signed_in


@permission_required(Permission.SEE_RECORDS)
def week(request: HttpRequest) -> HttpResponse:
    """Seven days: bays, technicians, promised dates."""
    today = timezone.localdate()
    first, unread = asked_week(request.GET.get("week", ""), today)
    before, after = first - timedelta(days=7), first + timedelta(days=7)
    context = {
        "week": week_of(first, today),
        "unread": unread,
        "is_this_week": first == monday_of(today),
        "before": before if before >= EARLIEST else None,
        "after": after if after <= LATEST else None,
        "may_plan": signed_in(request).may(Permission.PLAN_APPOINTMENTS),
        "may_open": signed_in(request).may(Permission.OPEN_JOBS),
    }
    return render(request, "shopfloor/week.html", context)
