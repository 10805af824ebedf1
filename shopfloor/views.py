"""Today and search: the two pages that look into every floor."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from shopfloor.search import search_everything, typed
from shopfloor.today import today_for
from staff.models import ShopProfile
from staff.policy import Permission, may, permission_required
from staff.requests import signed_in


@permission_required(Permission.SEE_RECORDS)
def today(request: HttpRequest) -> HttpResponse:
    """What is to be done now, for the role of the person who looks."""
    shop: ShopProfile = request.shop  # type: ignore[attr-defined]
    context = {
        "page": today_for(signed_in(request), shop),
        "may_open_jobs": may(request.user, Permission.OPEN_JOBS),
        "may_edit_records": may(request.user, Permission.EDIT_RECORDS),
    }
    return render(request, "shopfloor/today.html", context)


@permission_required(Permission.SEE_RECORDS)
def search(request: HttpRequest) -> HttpResponse:
    """Everything that fits what was typed into the one box; as one types, only the part that changes."""
    text = typed(request.GET.get("q", ""))
    context = {
        "search_text": text,
        "found": search_everything(text, request.user) if text else None,
        "may_open_jobs": may(request.user, Permission.OPEN_JOBS),
    }
    is_part = request.headers.get("HX-Target") == "found"
    return render(request, "shopfloor/search.html#found" if is_part else "shopfloor/search.html", context)
