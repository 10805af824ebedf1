"""Tabs of the job page. Each belongs to the app that knows it; upper apps register theirs."""

from __future__ import annotations

from dataclasses import dataclass

from staff.policy import Permission
from vessels import tabs as vessel_tabs
from vessels.frames import Offer, offer


@dataclass(frozen=True)
class Tab:
    """One tab: its URL name takes the job's number. ``count`` is a SELECT of its figure, for the job ``%(job)s``."""

    label: str
    url_name: str
    position: int
    permission: Permission = Permission.SEE_RECORDS
    count: str = ""


_tabs: dict[str, Tab] = {}


def register(tab: Tab) -> None:
    """Add a tab; called from an app's ``ready``."""
    _tabs[tab.url_name] = tab


def tabs() -> list[Tab]:
    """All tabs in order."""
    return sorted(_tabs.values(), key=lambda tab: tab.position)


def register_tabs() -> None:
    """Make the tabs known that this app gives, and what it offers on the pages of a vessel."""
    register(Tab("Overview", "workorders:job", 10))
    register(
        Tab("Lines", "workorders:lines", 20, count="SELECT count(*) FROM workorders_jobline WHERE job_id = %(job)s")
    )
    register(Tab("Log", "workorders:log", 50))
    vessel_tabs.register(
        vessel_tabs.Tab(
            "Jobs",
            "workorders:vessel_jobs",
            50,
            count="SELECT count(*) FROM workorders_job WHERE vessel_id = %(vessel)s",
        )
    )
    offer(Offer("Open a job", "workorders:open", "plus", 10, Permission.OPEN_JOBS, query="vessel"))
