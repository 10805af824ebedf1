"""Who and what has come on stage so far."""

from __future__ import annotations

import uuid
from dataclasses import dataclass, field
from decimal import Decimal

from findings.instruments.models import Instrument
from parts.models import Part
from shopfloor.demo.clock import Clock
from shopfloor.demo.fleet import Boat, Motor
from staff.models import Person
from vessels.models import ControlUnit, Customer, Engine, EngineFamily, Vessel
from workorders.models import Job

SCENARIO = uuid.UUID("5f0a0f5c-2a1e-5b43-9f6e-0d6a3f6d1c11")


def scenario_id(*words: object) -> uuid.UUID:
    """The same id for the same thing, every time the scenario is played."""
    return uuid.uuid5(SCENARIO, "/".join(map(str, words)))


@dataclass
class Rig:
    """One engine on stage: its row, unit, and how far its meter is from its true hours."""

    motor: Motor
    engine: Engine
    unit: ControlUnit
    first_seen: int
    meter_offset: Decimal = Decimal(0)

    def true_hours(self, days_ago: float) -> Decimal:
        """The engine's true hours so many days ago."""
        run = self.motor.hours_a_year * (self.first_seen - days_ago) / 365
        return Decimal(str(round(self.motor.start_hours + run, 1)))


@dataclass
class Stage:
    """Everybody and everything that has come on so far."""

    clock: Clock
    people: dict[str, Person]
    customers: dict[str, Customer] = field(default_factory=dict)
    families: dict[str, EngineFamily] = field(default_factory=dict)
    parts: dict[str, Part] = field(default_factory=dict)
    boats: dict[str, tuple[Boat, Vessel]] = field(default_factory=dict)
    rigs: dict[tuple[str, str], Rig] = field(default_factory=dict)
    jobs: dict[str, Job] = field(default_factory=dict)
    instruments: dict[str, Instrument] = field(default_factory=dict)

    @property
    def desk(self) -> Person:
        """The person at the counter."""
        return self.people["nora"]
