"""What every page's frame needs: the places of the house."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.http import HttpRequest
from django.urls import NoReverseMatch, reverse

from staff.policy import Permission, may


@dataclass(frozen=True)
class Place:
    """One place on the rail."""

    label: str
    url: str
    icon: str
    current: bool


PLACES = [
    ("Today", "today", "today", Permission.SEE_RECORDS),
    ("Jobs", "workorders:board", "jobs", Permission.SEE_RECORDS),
    ("Vessels", "vessels:list", "vessels", Permission.SEE_RECORDS),
    ("Parts", "parts:list", "parts", Permission.SEE_RECORDS),
    ("Insight", "findings:insight", "insight", Permission.SEE_INSIGHT),
]


def house(request: HttpRequest) -> dict[str, Any]:
    """The places that this person may go to, and the shop. Empty before login."""
    if not getattr(request, "user", None) or not request.user.is_authenticated:
        return {"places": [], "shop": getattr(request, "shop", None)}
    match = request.resolver_match
    space = (match.namespace or match.url_name) if match else ""
    where = f"{match.namespace}:{match.url_name}" if match and match.namespace else space
    places = []
    for label, name, icon, permission in PLACES:
        if may(request.user, permission):
            try:
                url = reverse(name)
            except NoReverseMatch:
                continue
            is_here = where == name if icon == "insight" else space == name.split(":", maxsplit=1)[0]
            places.append(Place(label, url, icon, is_here))
    return {"places": places, "shop": getattr(request, "shop", None)}
