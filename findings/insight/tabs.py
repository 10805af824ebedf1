"""Tabs of Insight. Each belongs to the room that knows it; rooms above register theirs."""

from __future__ import annotations

from dataclasses import dataclass

from django.urls import reverse

from staff.policy import Permission, may
from web.registry import Registry


@dataclass(frozen=True)
class Tab:
    """One tab. Whoever has the permission that its page needs sees it."""

    label: str
    url_name: str
    position: int
    permission: Permission = Permission.SEE_INSIGHT


@dataclass(frozen=True)
class ShownTab:
    """A tab as the strip draws it."""

    label: str
    url: str
    current: bool
    count: None = None


_tabs: Registry[Tab] = Registry(lambda tab: tab.url_name)
register, tabs = _tabs.register, _tabs.in_order

register(Tab("Faults and repairs", "findings:insight", 10))


def shown_tabs(person: object, current: str) -> list[ShownTab]:
    """The tabs that a person may open."""
    return [
        ShownTab(tab.label, reverse(tab.url_name), tab.url_name == current)
        for tab in tabs()
        if may(person, tab.permission)
    ]
