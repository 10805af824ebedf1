"""Tabs of the job page. Each belongs to the app that knows it; upper apps register theirs."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from staff.policy import Permission
from workorders.models import Job


@dataclass(frozen=True)
class Tab:
    """One tab: its URL name takes the job's number. ``count`` gives a figure to show, or is None."""

    label: str
    url_name: str
    position: int
    permission: Permission = Permission.SEE_RECORDS
    count: Callable[[Job], int] | None = None


_tabs: dict[str, Tab] = {}


def register(tab: Tab) -> None:
    """Add a tab; called from an app's ``ready``."""
    _tabs[tab.url_name] = tab


def tabs() -> list[Tab]:
    """All tabs in order."""
    return sorted(_tabs.values(), key=lambda tab: tab.position)
