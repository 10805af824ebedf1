"""P, C, B and U codes: two bytes, or three with a failure type, to text and back; who controls which range.

Sources: SAE J2012 / ISO 15031-6 as implemented by open libraries; P0 and P2 generic and P1 maker after published
service texts; the split of P3, the rows of B, C and U, and the groups of failure types are from memory.
"""

import re

_TEXT = re.compile(r"([PCBU])([0-3])([0-9A-F]{3})(?:[-:]([0-9A-F]{2}))?")

FAMILIES = {"P": "powertrain", "C": "chassis", "B": "body", "U": "network and vehicle integration"}

_SUBSYSTEMS = {
    "0": "fuel and air metering, auxiliary emission controls",
    "1": "fuel and air metering",
    "2": "fuel and air metering (injectors)",
    "3": "ignition system or misfire",
    "4": "auxiliary emission controls",
    "5": "speed, idle and auxiliary inputs",
    "6": "control unit and its outputs",
    "7": "transmission",
    "8": "transmission",
    "9": "transmission",
}
"""Third character of P0 codes (common practice, from memory)."""

_FAILURE_TYPES = {
    0x00: "no failure type given",
    0x11: "circuit shorted to ground",
    0x12: "circuit shorted to battery",
    0x13: "circuit open",
    0x14: "circuit shorted to ground or open",
    0x15: "circuit shorted to battery or open",
    0x16: "circuit voltage below threshold",
    0x17: "circuit voltage above threshold",
    0x1F: "circuit intermittent",
    0x2F: "signal erratic",
    0x31: "no signal",
    0x49: "internal electronic failure",
}

_FAILURE_GROUPS = {
    0x0: "general failure information",
    0x1: "general electrical failures",
    0x2: "general signal failures",
    0x3: "frequency or pulse width failures",
    0x4: "failures inside the unit",
    0x5: "programming failures",
    0x6: "failures found by the unit's own calculation",
    0x7: "mechanical failures",
    0x8: "bus signal or message failures",
    0x9: "component failures",
}


def decode_dtc(high: int, low: int, failure_type: int | None = None) -> str | None:
    """The code in two bytes, with a third for the failure type: "P0133", "P0133-11". None for two zero bytes (padding).

    Raises ValueError for a number that is no byte.
    """
    for byte in (high, low, failure_type or 0):
        if not 0 <= byte <= 255:
            raise ValueError(f"{byte} is not a byte.")
    if not high and not low:
        return None
    text = f"{'PCBU'[high >> 6]}{high >> 4 & 3}{high & 15:X}{low:02X}"
    return text if failure_type is None else f"{text}-{failure_type:02X}"


def encode_dtc(text: str) -> bytes:
    """The two or three bytes of a code in canonical text. Raises ValueError where it is none."""
    match = _TEXT.fullmatch(text)
    if match is None:
        raise ValueError(f"“{text}” is not a P, C, B or U code.")
    letter, digit, rest, failure_type = match.groups()
    two = ("PCBU".index(letter) << 14 | int(digit) << 12 | int(rest, 16)).to_bytes(2, "big")
    return two + (bytes.fromhex(failure_type) if failure_type else b"")


def controlled_by(text: str) -> str:
    """Who defines the code: "ISO/SAE" (one meaning for every make), "maker", or "reserved"."""
    letter, digit = text[0], text[1]
    if digit == "0":
        return "ISO/SAE"
    if digit == "1":
        return "maker"
    if letter == "P":
        return "maker" if digit == "3" and text[2] in "0123" else "ISO/SAE"
    return "maker" if digit == "2" else "reserved"


def subsystem(text: str) -> str | None:
    """What a generic P0 code is about, by its third character; None for other ranges."""
    return _SUBSYSTEMS.get(text[2]) if text.startswith("P0") else None


def failure_type_meaning(failure_type: int) -> str | None:
    """What the failure type byte says, as far as open lists agree; None where this program has no meaning for it."""
    return _FAILURE_TYPES.get(failure_type)


def failure_type_group(failure_type: int) -> str | None:
    """The group that the failure type belongs to, by its upper half (from memory)."""
    return _FAILURE_GROUPS.get(failure_type >> 4)
