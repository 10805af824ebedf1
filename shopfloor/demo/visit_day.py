"""The day of one visit of the scenario: boat, engine, technician, hours and job, for all that is done on it."""

from __future__ import annotations

import uuid
from datetime import date, timedelta

from shopfloor.demo.stage import Stage, scenario_id
from shopfloor.demo.visits import Visit
from workorders.models import Job

# The way from an estimate to each state that a visit can end in.
WAYS: dict[str, tuple[str, ...]] = {
    "estimate": (),
    "authorized": ("authorized",),
    "in-work": ("authorized", "in-work"),
    "waiting-parts": ("authorized", "in-work", "waiting-parts"),
    "waiting-customer": ("authorized", "in-work", "waiting-customer"),
    "waiting-weather": ("authorized", "in-work", "waiting-weather"),
    "sea-trial": ("authorized", "in-work", "sea-trial"),
    "ready": ("authorized", "in-work", "ready"),
    "closed": ("authorized", "in-work", "ready", "closed"),
    "canceled": ("canceled",),
}


class VisitDay:
    """What is at hand on the day of a visit; ``job`` is there once it was opened."""

    def __init__(self, stage: Stage, visit: Visit) -> None:
        self.stage, self.visit, self.clock = stage, visit, stage.clock
        self.boat, self.vessel = stage.boats[visit.boat]
        self.vessel.refresh_from_db()
        self.rig = stage.rigs[(visit.boat, visit.motor)]
        self.tech = stage.people[visit.tech]
        self.hours = self.rig.true_hours(visit.days_ago)
        self.job: Job

    @property
    def way(self) -> tuple[str, ...]:
        """The states that the job goes through."""
        return WAYS[self.visit.ends]

    def promised_on(self, day: date) -> date:
        """Two days after it should be done, and never a Sunday: the shop is closed then."""
        promised = day + timedelta(days=self.visit.days + 2)
        return promised + timedelta(days=1) if promised.weekday() == 6 else promised

    def named(self, *words: object) -> uuid.UUID:
        """The id of something of this visit."""
        return scenario_id(self.visit.boat, self.visit.days_ago, *words)
