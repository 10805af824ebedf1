"""The week around the last day: bays, arrivals and a sea trial, one moved and one missed; and calls that were made."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

from shopfloor.demo.stage import Stage, scenario_id
from workorders.appointments.actions import add_bay, change_appointment, plan_appointment, settle_appointment
from workorders.calls.actions import note_call
from workorders.models import Job
from workorders.states import JobState

BAYS = [("Travel lift", "Up to 60 ft", 1), ("Bay 1", "Under the roof", 2), ("Test slip", "With shore power", 3)]
# What, the boat or who it is, working days from the last day, how it is said, bay, technician, what it is about.
PLANNED: list[tuple[str, str, str, int, dict[str, Any], str, str, str]] = [
    ("missed", "arrival", "dabchick", -1, {"at": "10:00", "minutes": 30}, "", "", "Will not idle when it is warm"),
    ("haul", "haul-out", "marguerite", 1, {"at": "08:30", "minutes": 90}, "Travel lift", "luz", "Shaft seal drips"),
    ("new", "arrival", "", 2, {"when": "morning"}, "Bay 1", "", "Hard to start. A blue center console, 24 ft"),
    (
        "trial",
        "sea-trial",
        "kittiwake",
        2,
        {"at": "13:00", "minutes": 120},
        "Test slip",
        "luz",
        "Full throttle, loaded",
    ),
    ("launch", "launch", "marguerite", 4, {"when": "afternoon", "minutes": 60}, "Travel lift", "", ""),
    ("survey", "survey", "saffron", 3, {"when": "day", "days": 2}, "Bay 1", "", "The buyer’s surveyor comes"),
]
SAID = {
    JobState.READY: ("Told that it is ready. Comes with a trailer on Saturday", 2),
    JobState.WAITING_CUSTOMER: ("Mailbox. Left word to call back", 0),
    JobState.ESTIMATE: ("Wants to talk it over at home", 3),
}
"""What the first customer of a state said, and in how many days to call again; 0: nobody said when."""


def plan_the_week(stage: Stage) -> None:
    """The desk plans, moves one, notes that one did not come, and calls, all of it before the day of the filling."""
    stage.clock.turn(stage.clock.at(3, "16:40"))
    gail = stage.people["gail"]
    bays = {
        name: add_bay(by=gail, name=name, note=note, position=place, entry_id=scenario_id("bay", name))
        for name, note, place in BAYS
    }
    made = {}
    for key, kind, boat, days, said, bay, technician, remark in PLANNED:
        whose: dict[str, Any] = (
            {"vessel": stage.boats[boat][1]} if boat else {"name": "Lennart Ode", "phone": "(555) 555-0166"}
        )
        made[key] = plan_appointment(
            by=stage.desk, kind=kind, day=_day(stage, days), bay=bays.get(bay),
            technician=stage.people.get(technician), remark=remark, entry_id=scenario_id("appointment", key),
            **said, **whose,
        )  # fmt: skip
    stage.clock.turn(stage.clock.at(1, "17:10"))
    change_appointment(
        by=stage.desk, appointment=made["trial"], seen_version=1, changes={"at": "14:30"}, reason="The tide",
        entry_id=scenario_id("appointment", "trial", "moved"),
    )  # fmt: skip
    settle_appointment(
        by=stage.desk, appointment=made["missed"], state="missed", reason="Trailer broke down",
        entry_id=scenario_id("appointment", "missed", "settled"),
    )  # fmt: skip
    for state, (answer, days) in SAID.items():
        job = Job.objects.filter(state=state).select_related("customer", "vessel").order_by("state_since").first()
        if job is not None:
            note_call(
                by=stage.desk, job=job, who=job.customer.contact or job.customer.name, said=answer,
                again_on=stage.clock.day(0) + timedelta(days=days) if days else None,
                entry_id=scenario_id("call", state.value),
            )  # fmt: skip


def _day(stage: Stage, days: int) -> date:
    """So many working days before or after the last one."""
    return stage.clock.working_day(days) if days > 0 else stage.clock.day(-days)
