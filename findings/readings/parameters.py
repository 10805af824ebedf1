"""The parameters that a shop reads off an engine. The names are the trade's; a shop adds its own."""

from __future__ import annotations

from typing import Any

from engineering.measures import Kind
from findings.readings.models import Parameter

# Common practice, no source: what is usually measured on any make.
PARAMETERS: tuple[tuple[str, Kind], ...] = (
    ("Engine speed", Kind.ROTATION),
    ("Oil pressure", Kind.PRESSURE),
    ("Coolant temperature", Kind.TEMPERATURE),
    ("Exhaust gas temperature", Kind.TEMPERATURE),
    ("Raw water pump pressure", Kind.PRESSURE),
    ("Fuel pressure", Kind.PRESSURE),
    ("Fuel return flow", Kind.FLOW),
    ("Fuel rate", Kind.FLOW),
    ("Boost pressure", Kind.PRESSURE),
    ("Intake air temperature", Kind.TEMPERATURE),
    ("Exhaust back-pressure", Kind.PRESSURE),
    ("Compression", Kind.PRESSURE),
    ("Leak-down", Kind.PERCENT),
    ("Battery voltage", Kind.VOLTAGE),
    ("Charging voltage", Kind.VOLTAGE),
    ("Cranking voltage", Kind.VOLTAGE),
    ("Starter circuit voltage drop", Kind.VOLTAGE),
    ("Ground circuit voltage drop", Kind.VOLTAGE),
    ("Sensor supply voltage", Kind.VOLTAGE),
    ("Throttle position", Kind.PERCENT),
    ("Engine load", Kind.PERCENT),
    ("Gear oil pressure", Kind.PRESSURE),
    ("Gear oil temperature", Kind.TEMPERATURE),
    ("Wide-open-throttle speed", Kind.ROTATION),
    ("Boat speed", Kind.SPEED),
    ("Alternator output", Kind.CURRENT),
    ("Generator frequency", Kind.FREQUENCY),
    ("Generator output voltage", Kind.VOLTAGE),
    ("Emergency stop switch", Kind.ON_OFF),
    ("Neutral switch", Kind.ON_OFF),
    ("Oil level switch", Kind.ON_OFF),
    ("Oil temperature", Kind.TEMPERATURE),
    ("Oil level", Kind.PERCENT),
    ("Coolant pressure", Kind.PRESSURE),
    ("Coolant level", Kind.PERCENT),
    ("Engine torque", Kind.PERCENT),
    ("Tilt or trim", Kind.PERCENT),
    ("Air inlet pressure", Kind.PRESSURE),
    ("Battery current", Kind.CURRENT),
    ("Battery temperature", Kind.TEMPERATURE),
    ("Fluid level", Kind.PERCENT),
    ("Sea water temperature", Kind.TEMPERATURE),
    ("Engine room temperature", Kind.TEMPERATURE),
)


def seed_parameters(**_: Any) -> None:
    """Make the usual parameters known; run after every migration, changes nothing that is there."""
    known = set(Parameter.objects.values_list("name", flat=True))
    Parameter.objects.bulk_create(
        [
            Parameter(name=name, kind=kind.value, position=10 * index)
            for index, (name, kind) in enumerate(PARAMETERS, start=1)
            if name not in known
        ]
    )
