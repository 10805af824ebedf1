"""Today and search: the two pages that look into every floor."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from staff.policy import Permission, permission_required


@permission_required(Permission.SEE_RECORDS)
def today(request: HttpRequest) -> HttpResponse:
    """What is to be done now, for the role of the person who looks."""
    return render(request, "shopfloor/today.html")


@permission_required(Permission.SEE_RECORDS)
def search(request: HttpRequest) -> HttpResponse:
    """Everything that fits what was typed into the one box."""
    return render(request, "shopfloor/search.html", {"search_text": request.GET.get("q", "").strip()})
