"""What can be true of a value on a boat: beyond it a point is missing, or the unit is the wrong one.

One place for every form and action that takes a value. The bounds are wide, so that they find slips and judge nothing.
"""

from collections.abc import Mapping
from decimal import Decimal
from types import MappingProxyType

from engineering.measures import UNITS, Kind, convert, show, to_si

HOURS_OF_A_WEEK = 168


def _span(low: str, high: str) -> tuple[Decimal, Decimal]:
    return Decimal(low), Decimal(high)


OUTERMOST: Mapping[Kind, tuple[Decimal, Decimal]] = MappingProxyType(
    {
        Kind.TEMPERATURE: _span("200", "1600"),
        Kind.PRESSURE: _span("-110000", "500000000"),
        Kind.VOLTAGE: _span("-1000", "1000"),
        Kind.CURRENT: _span("-10000", "10000"),
        Kind.RESISTANCE: _span("-10", "100000000000"),
        Kind.ROTATION: _span("-1000", "30000"),
        Kind.SPEED: _span("-100", "150"),
        Kind.LENGTH: _span("-500", "500"),
        Kind.VOLUME: _span("0", "1000"),
        Kind.FLOW: _span("-10", "10"),
        Kind.POWER: _span("-20000000", "20000000"),
        Kind.TORQUE: _span("-20000", "20000"),
        Kind.MASS: _span("0", "1000000"),
        Kind.DENSITY: _span("0", "20000"),
        Kind.SPECIFIC_GRAVITY: _span("0", "20"),
    }
)
"""Lowest and highest in SI that anything on a boat of an independent shop has. Common practice, no source."""


NEVER_BELOW_ZERO: Mapping[Kind, str] = MappingProxyType(
    {
        Kind.RESISTANCE: "a resistance",
        Kind.AREA: "an area",
        Kind.VOLUME: "a volume",
        Kind.MASS: "a mass",
        Kind.DENSITY: "a density",
        Kind.SPECIFIC_GRAVITY: "a specific gravity",
        Kind.CONSUMPTION: "a fuel consumption",
        Kind.FREQUENCY: "a frequency",
        Kind.HOURS: "a number of hours",
        Kind.COUNT: "a count",
    }
)
"""What there is no less of than none. A resistance may seem to be a little less: by the leads of a meter."""
ATMOSPHERE = Decimal(101325)
"""The standard atmosphere, in pascals. Source: ISO 2533:1975. Absolute zero is that of the SI (BIPM, 9th edition)."""
CHECK = "Check the figure and its unit."


def why_impossible(value: Decimal, unit: str) -> str:
    """Why there can be no such value anywhere, in a sentence; empty where there can."""
    kind, in_si, said = UNITS[unit].kind, to_si(value, unit), show(value, unit)
    if kind is Kind.TEMPERATURE and in_si < 0:
        return f"{said} is below absolute zero ({show(convert(Decimal(0), 'K', unit), unit)}). {CHECK}"
    if kind is Kind.PRESSURE and in_si < OUTERMOST[kind][0]:
        vacuum = show(convert(-ATMOSPHERE, "Pa", unit), unit, significant=3)
        return f"{said} is below a perfect vacuum ({vacuum} at sea level). {CHECK}"
    if kind in NEVER_BELOW_ZERO and in_si < min(OUTERMOST.get(kind, (Decimal(0),))[0], Decimal(0)):
        return f"{said} cannot be: {NEVER_BELOW_ZERO[kind]} is never below zero. {CHECK}"
    return ""


def beyond_a_boat(value: Decimal, unit: str) -> str:
    """Why a value in ``unit`` is beyond anything on a boat, in a sentence; empty where it is not."""
    bounds = OUTERMOST.get(UNITS[unit].kind)
    if bounds is None or bounds[0] <= to_si(value, unit) <= bounds[1]:
        return ""
    return why_impossible(value, unit) or f"{show(value, unit)} is beyond anything on a boat. {CHECK}"
