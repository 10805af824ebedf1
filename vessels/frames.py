"""The frame of a vessel's page: who and what it is, its tabs, and what can be done with it."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from django.http import Http404
from django.urls import reverse
from django.utils.html import format_html
from django.utils.safestring import SafeString

from staff.policy import Permission, may
from vessels.models import Customer, Vessel
from vessels.tabs import counts_of, tabs
from web.addresses import address_of
from web.registry import Registry
from web.rows import record, rows


@dataclass(frozen=True)
class FrameTab:
    """One tab as the template shows it."""

    label: str
    url: str
    current: bool
    count: int | None = None


@dataclass(frozen=True)
class FrameAction:
    """One thing to do, as the template shows it."""

    label: str
    url: str
    icon: str = ""


@dataclass(frozen=True)
class Frame:
    """What ``frames/record.html`` needs. ``facts`` are pairs of label and value; a value may be a link."""

    eyebrow: str
    title: str
    facts: list[tuple[str, Any]]
    tabs: list[FrameTab]
    actions: list[FrameAction] = field(default_factory=list)
    eyebrow_url: str = ""


@dataclass(frozen=True)
class Offer:
    """Something to do on every page of a vessel. The URL name takes the vessel's key, or ``query`` does after it."""

    label: str
    url_name: str
    icon: str
    position: int
    permission: Permission
    query: str = ""


_offers: Registry[Offer] = Registry(lambda offered: offered.url_name)


def offer(new: Offer) -> None:
    """Add a button to the head of every vessel page; called from an app's ``ready``."""
    _offers.register(new)


def linked(words: object, url: str) -> SafeString:
    """A value that leads somewhere."""
    return format_html('<a href="{}">{}</a>', url, words)


_VESSEL = """
    SELECT vessel.id, vessel.name, vessel.hin, vessel.kind, vessel.maker, vessel.model, vessel.model_year, vessel.berth,
           vessel.owner_id, owner.name AS owner_name
    FROM vessels_vessel vessel JOIN vessels_customer owner ON owner.id = vessel.owner_id WHERE vessel.id = %(vessel)s
"""


def vessel_in_frame(pk: int) -> Vessel:
    """A vessel with no more than its frame shows of it, for a page that asks for the rest itself.

    Raises:
        Http404: there is none.
    """
    found = rows(_framed, _VESSEL, {"vessel": pk})
    if not found:
        raise Http404
    return found[0]


def _framed(**row: Any) -> Vessel:
    columns = ["id", "name", "hin", "kind", "maker", "model", "model_year", "berth", "owner_id"]
    vessel = record(Vessel, row, *columns)
    vessel.owner = record(Customer, row, "id", "name", prefix="owner_")
    return vessel


def vessel_frame(person: object, vessel: Vessel, current: str) -> Frame:
    """The frame of a vessel's page; ``current`` is the URL name of the tab that is open."""
    facts: list[tuple[str, Any]] = [
        ("Owner", linked(vessel.owner.name, address_of("vessels:customer", vessel.owner_id)))
    ]
    if vessel.hin:
        facts.append(("HIN", format_html('<span class="code">{}</span>', vessel.hin)))
    if vessel.model_words:
        facts.append(("Boat", vessel.model_words))
    if vessel.berth:
        facts.append(("Berth", vessel.berth))
    shown = [tab for tab in tabs() if may(person, tab.permission)]
    return Frame(
        eyebrow=vessel.get_kind_display(),
        title=str(vessel),
        facts=facts,
        tabs=[
            FrameTab(tab.label, address_of(tab.url_name, vessel.pk), tab.url_name == current, count)
            for tab, count in zip(shown, counts_of(shown, {"vessel": vessel.pk}), strict=True)
        ],
        actions=[
            FrameAction(offered.label, _address(offered, vessel), offered.icon)
            for offered in _offers.in_order()
            if may(person, offered.permission)
        ],
    )


def _address(offered: Offer, vessel: Vessel) -> str:
    if offered.query:
        return f"{reverse(offered.url_name)}?{offered.query}={vessel.pk}"
    return address_of(offered.url_name, vessel.pk)
