"""What every page's frame needs: the places of the house, and one's own clock."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.http import HttpRequest
from django.urls import reverse

from shopfloor.version import VERSION
from staff.policy import Permission, may
from workorders.labor.strip import own_clocks


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
WORDS = {
    "": "today",
    **dict.fromkeys(
        [
            "jobs",
            "reports",
            "hours",
            "invoices",
            "write-offs",
            "payments",
            "credit-notes",
            "week",
            "appointments",
            "calls",
        ],
        "workorders:board",
    ),
    **dict.fromkeys(
        [
            "vessels",
            "customers",
            "engines",
            "units",
            "log",
            "faults",
            "service",
            "followed",
            "laid-up",
            "service-done",
        ],
        "vessels:list",
    ),
    "deferred": "vessels:list",
    "parts": "parts:list",
    "insight": "findings:insight",
}
PERSON_LINKS = [
    ("Shop profile", "staff:shop", "shop", Permission.MANAGE_SHOP),
    ("Invoices and notices", "invoices:shop", "file-text", Permission.MANAGE_SHOP),
    ("Taxes", "taxes:list", "stamp", Permission.SET_TAXES),
    ("People", "staff:list", "users", Permission.MANAGE_STAFF),
    ("Week", "week", "calendar", Permission.SEE_RECORDS),
    ("Calls", "calls:list", "phone", Permission.NOTE_CALLS),
    ("Service due", "upkeep:list", "history", Permission.SEE_RECORDS),
    ("Calendar feeds", "calendar:feeds", "calendar", Permission.SEE_RECORDS),
    ("Deferred work", "authorizations:deferred", "list", Permission.SEE_PRICES),
    ("Spec cards", "findings:cards", "gauge", Permission.SEE_RECORDS),
    ("Instruments", "findings:instruments", "ruler", Permission.SEE_RECORDS),
    ("Invoices", "invoices:list", "banknote", Permission.SEE_MONEY),
    ("Clocks and hours", "labor:running", "timer", Permission.SEE_RECORDS),
    ("Your login", "staff:own_login", "key-round", Permission.SEE_RECORDS),
]


def house(request: HttpRequest) -> dict[str, Any]:
    """The places that this person may go to, what is in their own menu, and the shop. Empty before login."""
    shop = getattr(request, "shop", None)
    user = getattr(request, "user", None)
    if user is None or not user.is_authenticated:
        return {"places": [], "person_links": [], "shop": shop}
    match = request.resolver_match
    here = match.view_name if match else ""
    return {
        "places": [
            Place(label, reverse(name), icon, _is_at(name, request.path_info))
            for label, name, icon, permission in PLACES
            if may(user, permission)
        ],
        "person_links": [
            Place(label, reverse(name), icon, here == name)
            for label, name, icon, permission in PERSON_LINKS
            if may(user, permission)
        ],
        "shop": shop,
        "version": VERSION,
        "sees_prices": may(user, Permission.SEE_PRICES),
        "own_clocks": lambda: own_clocks(request),
    }


def _is_at(place: str, path: str) -> bool:
    """Whether an address belongs to a place. The first word of an address says what its page is about."""
    first = path.strip("/").partition("/")[0]
    return WORDS.get(first) == place
