"""Tabs of the job page. Each belongs to the app that knows it; upper apps register theirs."""

from __future__ import annotations

from staff.policy import Permission
from vessels import tabs as vessel_tabs
from vessels.frames import Offer, offer
from vessels.tabs import Tab
from web.registry import Registry

__all__ = ["Tab", "register", "register_tabs", "tabs"]

_tabs: Registry[Tab] = Registry(lambda tab: tab.url_name)
register, tabs = _tabs.register, _tabs.in_order


def register_tabs() -> None:
    """Make the tabs known that this app gives, and what it offers on the pages of a vessel."""
    register(Tab("Overview", "workorders:job", 10))
    register(
        Tab("Lines", "workorders:lines", 20, count="SELECT count(*) FROM workorders_jobline WHERE job_id = %(job)s")
    )
    register(Tab("Hours", "labor:job", 25))
    register(Tab("Log", "workorders:log", 50))
    vessel_tabs.register(
        Tab(
            "Jobs",
            "workorders:vessel_jobs",
            50,
            count="SELECT count(*) FROM workorders_job WHERE vessel_id = %(vessel)s",
        )
    )
    offer(Offer("Open a job", "workorders:open", "plus", 10, Permission.OPEN_JOBS, query="vessel"))
