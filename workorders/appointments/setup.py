"""What appointments add to the rest of the house: lines on boats and jobs, and a job opened from an arrival."""

from __future__ import annotations

from staff.policy import Permission
from vessels import sections
from vessels.frames import Offer, offer
from workorders import opening_from
from workorders.appointments import events, opening, shown
from workorders.calendar import sources
from workorders.sections import OVERVIEW, Section
from workorders.sections import register as register_section


def set_up() -> None:
    """Called once from the app's ``ready``."""
    sections.register("workorders/appointments/on_vessel.html", shown.on_vessel, 5)
    register_section(Section(OVERVIEW, "workorders/appointments/on_job.html", shown.on_job, 5))
    offer(Offer("Plan a visit", "appointments:add", "calendar", 20, Permission.PLAN_APPOINTMENTS, query="vessel"))
    opening_from.register("appointment", opening.carried)
    sources.register(events.SOURCE)
