"""What a pasted text says of another boat than the one that its codes are going to be logged on."""

from __future__ import annotations

from vessels.models import Vessel
from vessels.queries.named_in_text import Named, boats_named

_COMMON_WORDS = """
ACTIVE STORED PENDING PERMANENT HISTORY CODE CODES FAULT FAULTS SCAN REPORT ENGINE MOTOR PORT STARBOARD STBD
CENTER CENTRE GENERATOR UNIT MODULE STATUS COUNT OIL FUEL COOLANT WATER AIR SENSOR CIRCUIT PRESSURE
TEMPERATURE VOLTAGE LOW HIGH LEAN RICH MISFIRE KNOCK IGNITION INJECTOR THROTTLE BOAT VESSEL NAME HIN OWNER
CUSTOMER TECHNICIAN DATE TIME HOURS ECM ECU PCM SPN FMI DTC NONE NO YES OK ON OFF OF THE AND A IN NOT NEW OLD
"""
_COMMON = frozenset(_COMMON_WORDS.split())
MOST_SAID = 3


def other_boats_said(text: str, vessel: Vessel) -> str:
    """A sentence where a text holds the name or HIN of other boats and not that of ``vessel``; else nothing."""
    named = boats_named(text, common=_COMMON)
    others = [one for one in named if one.vessel.pk != vessel.pk]
    if not others or len(others) < len(named) or _is_named(text, vessel, others):
        return ""
    said = " ".join(_said(one) for one in others[:MOST_SAID])
    return f"{said} This job is for {vessel}: make sure that the codes are from that boat."


def _said(one: Named) -> str:
    if one.is_hin:
        return f"“{one.written}” stands in the text: that is the HIN of another boat in the records, {one.vessel}."
    return f"“{one.written}” stands in the text: that is the name of another boat in the records."


def _is_named(text: str, vessel: Vessel, others: list[Named]) -> bool:
    """Whether the boat's own name or HIN stands anywhere in the text, other than within another boat's name."""
    rest = " ".join(text.casefold().split())
    for other in others:
        rest = rest.replace(other.written.casefold(), "\n")
    return any(own and own.casefold() in rest for own in (vessel.name, vessel.hin))
