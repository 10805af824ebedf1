"""What the values of a log are called among the shop's parameters, and under which condition they were sent. Pure."""

from __future__ import annotations

from dataclasses import dataclass

from engineering.canlog import ParameterSpan

# The keys are those of engineering.canlog; the names those of findings.readings.parameters.
PARAMETERS = {
    "engine-speed": "Engine speed",
    "engine-boost-pressure": "Boost pressure",
    "engine-tilt-or-trim": "Tilt or trim",
    "engine-oil-pressure": "Oil pressure",
    "engine-oil-temperature": "Oil temperature",
    "engine-oil-level": "Oil level",
    "engine-temperature": "Coolant temperature",
    "engine-coolant-pressure": "Coolant pressure",
    "engine-coolant-level": "Coolant level",
    "alternator-voltage": "Charging voltage",
    "engine-fuel-rate": "Fuel rate",
    "engine-fuel-pressure": "Fuel pressure",
    "engine-load": "Engine load",
    "engine-torque": "Engine torque",
    "throttle-position": "Throttle position",
    "intake-manifold-temperature": "Intake air temperature",
    "air-inlet-pressure": "Air inlet pressure",
    "transmission-oil-pressure": "Gear oil pressure",
    "transmission-oil-temperature": "Gear oil temperature",
    "battery-voltage": "Battery voltage",
    "battery-current": "Battery current",
    "battery-temperature": "Battery temperature",
    "tank-level": "Fluid level",
    "fuel-level": "Fluid level",
}
PLACES = {
    "sea": "Sea water temperature",
    "engine room": "Engine room temperature",
    "exhaust gas": "Exhaust gas temperature",
}
HOURS = {"engine-running-time", "engine-hours"}
"""The unit's own count of hours: offered for the hour meter, not logged as a reading."""
SELDOM_LOGGED = {"tank-capacity", "set-temperature", "engine-tilt-or-trim"}
"""What is seldom a finding: not ticked beforehand. Common practice, no source."""
OF_THE_BOAT = {127505, 127508, 130312, 130316}
"""The messages about tanks, batteries and places, whose instance is no engine."""
NOT_A_WARNING = {
    "preheat-indicator",
    "neutral-start-protect",
    "sail-drive",
    "secondary-throttle",
    "engine-shutting-down",
    "water-flow",
}
"""Status bits that tell what is done or fitted rather than what is wrong: not ticked beforehand. Common practice, no
source."""


@dataclass(frozen=True)
class Named:
    """A parameter's name, and the condition that tells it from others of the name."""

    parameter: str
    condition: str


def name_of(span: ParameterSpan) -> Named:
    """What a value of a log is called here."""
    if span.pgn in OF_THE_BOAT:
        return _name_on_boat(span)
    condition = "fuel" if span.key == "fuel-level" else ""
    return Named(PARAMETERS.get(span.key, span.label), condition)


def _name_on_boat(span: ParameterSpan) -> Named:
    number = "" if span.instance is None else f" {span.instance}"
    if span.key in {"tank-level", "tank-capacity"}:
        return Named(PARAMETERS.get(span.key, span.label), f"{span.kind or 'unnamed'} tank{number}")
    if span.key.startswith("battery-"):
        return Named(PARAMETERS.get(span.key, span.label), f"battery{number}")
    place = span.kind or "unnamed place"
    name = PLACES.get(place, f"{place[0].upper()}{place[1:]} temperature")
    if span.key == "set-temperature":
        name = f"{name}, set"
    return Named(name, f"sensor{number}" if number else "")
