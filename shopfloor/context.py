"""What every page's frame needs: the places of the house."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.http import HttpRequest
from django.urls import reverse

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
    space = match.namespaces[0] if match and match.namespaces else (match.url_name if match else "")
    places = [
        Place(label, reverse(name), icon, current=space == name.split(":")[0] and (match.url_name == "insight") == (icon == "insight") if match else False)
        for label, name, icon, permission in PLACES
        if may(request.user, permission)
    ]
    return {"places": places, "shop": getattr(request, "shop", None)}
