"""The frame of a vessel's page: who and what it is, and its tabs."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from django.urls import reverse

from staff.policy import may
from vessels.models import Vessel
from vessels.tabs import tabs


@dataclass(frozen=True)
class FrameTab:
    """One tab as the template shows it."""

    label: str
    url: str
    current: bool
    count: int | None = None


@dataclass(frozen=True)
class Frame:
    """What ``frames/record.html`` needs. ``facts`` are (label, value) or (label, value, address) rows."""

    eyebrow: str
    title: str
    facts: list[tuple[Any, ...]]
    tabs: list[FrameTab]
    actions: list[Any] = field(default_factory=list)


def vessel_frame(person: object, vessel: Vessel, current: str) -> Frame:
    """The frame of a vessel's page; ``current`` is the URL name of the tab that is open."""
    facts: list[tuple[Any, ...]] = [("Owner", vessel.owner.name, reverse("vessels:customer", args=[vessel.owner_id]))]
    if vessel.hin:
        facts.append(("HIN", vessel.hin))
    what = " ".join(str(word) for word in [vessel.model_year or "", vessel.maker, vessel.model] if word)
    if what:
        facts.append(("Boat", what))
    if vessel.berth:
        facts.append(("Berth", vessel.berth))
    return Frame(
        eyebrow=vessel.get_kind_display(),
        title=str(vessel),
        facts=facts,
        tabs=[
            FrameTab(
                tab.label,
                reverse(tab.url_name, args=[vessel.pk]),
                tab.url_name == current,
                tab.count(vessel) if tab.count else None,
            )
            for tab in tabs()
            if may(person, tab.permission)
        ],
    )
