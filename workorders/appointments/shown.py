"""What pages of boats and jobs show of appointments: one small line of what is planned."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.http import HttpRequest

from staff.policy import Permission
from staff.requests import signed_in
from vessels.models import Vessel
from workorders.appointments.queries import Slot, planned_of
from workorders.models import Job


@dataclass(frozen=True)
class Planned:
    """What is planned, and whether the reader may plan more."""

    appointments: Sequence[Slot]
    may_plan: bool
    may_call: bool = False


def on_vessel(request: HttpRequest, vessel: Vessel) -> Any:
    """What is planned for a boat; nothing where nothing is."""
    found = planned_of(vessel=vessel)
    return Planned(found, signed_in(request).may(Permission.PLAN_APPOINTMENTS)) if found else None


def on_job(request: HttpRequest, job: Job) -> Any:
    """What is planned for a job; on an open job also where nothing is, with the way to plan."""
    found = planned_of(job=job)
    person = signed_in(request)
    may_plan = job.is_open and person.may(Permission.PLAN_APPOINTMENTS)
    may_call = job.is_open and person.may(Permission.NOTE_CALLS)
    return Planned(found, may_plan, may_call) if found or may_plan else None
