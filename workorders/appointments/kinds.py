"""What an appointment is for, and where it stands: words as data."""

from __future__ import annotations

from enum import StrEnum


class Kind(StrEnum):
    """What is to happen."""

    ARRIVAL = "arrival"
    HAUL_OUT = "haul-out"
    LAUNCH = "launch"
    SEA_TRIAL = "sea-trial"
    PICKUP = "pickup"
    SURVEY = "survey"
    VISIT = "visit"
    OTHER = "other"


KIND_WORDS: dict[Kind, str] = {
    Kind.ARRIVAL: "Arrival",
    Kind.HAUL_OUT: "Haul-out",
    Kind.LAUNCH: "Launch",
    Kind.SEA_TRIAL: "Sea trial",
    Kind.PICKUP: "Pickup",
    Kind.SURVEY: "Survey",
    Kind.VISIT: "Work away from the shop",
    Kind.OTHER: "Other",
}
BRINGS_A_BOAT = frozenset({Kind.ARRIVAL, Kind.HAUL_OUT})
"""The kinds with which a boat comes in: its job may be opened from there."""


class State(StrEnum):
    """Where it stands."""

    PLANNED = "planned"
    KEPT = "kept"
    MISSED = "missed"
    OFF = "off"


STATE_WORDS: dict[State, str] = {
    State.PLANNED: "Planned",
    State.KEPT: "Happened",
    State.MISSED: "Missed",
    State.OFF: "Called off",
}
TAKES_ROOM = (State.PLANNED, State.KEPT)
"""The states in which it takes its bay and its technician."""
