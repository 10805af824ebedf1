"""Codes of the data link from before J1939: who sent one (MID), of which signal or part (PID or SID), how it failed.

A signal or a part that a maker numbers for itself has PPID or PSID in the place of PID or SID.

SAE J1587 over SAE J1708. The standard is not open; its numbers and names are given here from memory, and only those
that are certain. Numbers of signals go on as SPNs of J1939 with the same meaning, so that they share one list of names.
"""

import re

from engineering.codes.fmi import fmi_meaning
from engineering.codes.ranges import beyond
from engineering.codes.spn_names import SPN_NAMES

MAX_MID, MAX_NUMBER, MAX_FMI = 255, 511, 15
RESERVED_FMI = 15
_MID = r"MID[ :=#.-]{0,3}([0-9]{1,6})[ ,;:/|-]{0,4}"
_REST = (
    r"(P?[PS])ID[ :=#.-]{0,3}([0-9]{1,6})"
    r"[ ,;:/|-]{0,4}FMI[ :=#.-]{0,3}([0-9]{1,4})"
)
PATTERN = rf"(?:{_MID})?{_REST}"
"""As instruments and manuals write it, in capitals; the sender can be left to a heading above."""
WRITTEN = re.compile(_MID + _REST)
TEXT = re.compile(r"([0-9]{1,6})-(P?[PS])([0-9]{1,6})-([0-9]{1,4})")
"""The canonical text: "128-P110-3", or "128-S21-5" for a part; "128-PP119-5" and "128-PS98-12" for a maker's own."""

_SENDER_ALONE = re.compile(
    r"\W*MID[ :=#.-]{0,3}([0-9]{1,3})"
    r"(?:[ ,:()-]+(?:ENGINE|MOTOR|TRANSMISSION|GEARBOX|INSTRUMENTS?|CLUSTER|PANEL|ECU|ECM|CODES?|FAULTS?)){0,4}\W*"
)
SENDERS = {128: "engine", 130: "transmission", 140: "instrument panel", 175: "second engine"}
_ENGINES = (128, 175)
_PARTS_OF_ENGINES = {
    **{cylinder: f"injector of cylinder {cylinder}" for cylinder in range(1, 17)},
    17: "fuel shut-off valve",
    18: "fuel control valve",
    20: "timing actuator",
    21: "engine position sensor",
    22: "timing sensor",
    23: "rack actuator",
    24: "rack position sensor",
}
_PARTS_OF_ALL = {
    231: "data link (SAE J1939)",
    232: "supply of 5 volts",
    240: "program memory",
    249: "data link (SAE J1922)",
    250: "data link (SAE J1708)",
    251: "power supply",
    252: "calibration module",
    253: "calibration memory",
    254: "control unit itself",
}
_WITHOUT_DEGREES = {0: "above the normal range", 1: "below the normal range"}


def parts_of(written: str) -> tuple[int, str, int, int] | None:
    """MID, "P", "S", "PP" or "PS", the number behind it, and FMI; None for any other text.

    The text is in capitals, or the canonical one.
    """
    match = WRITTEN.fullmatch(written) or TEXT.fullmatch(written)
    return (int(match[1]), match[2], int(match[3]), int(match[4])) if match else None


def sender_alone(line: str) -> int | None:
    """The MID that a line in capitals gives to the codes below it, or None where it is no such heading."""
    match = _SENDER_ALONE.fullmatch(line)
    return int(match[1]) if match and int(match[1]) <= MAX_MID else None


def named(text: str) -> str:
    """The canonical text as the trade reads it out: "MID 128 PID 110 FMI 3"."""
    parts = TEXT.fullmatch(text)
    if parts is None:
        raise ValueError(f"{text} is not canonical.")
    return f"MID {parts[1]} {parts[2]}ID {parts[3]} FMI {parts[4]}"


def too_large(mid: int, kind: str, number: int, fmi: int) -> str:
    """Which of the numbers is beyond what the standard has; empty where none is. ``kind`` stands before "ID"."""
    return beyond(("MID", mid, MAX_MID), (f"{kind}ID", number, MAX_NUMBER), ("FMI", fmi, MAX_FMI))


def failure_words(fmi: int) -> str | None:
    """How it failed, or None for 15, which is reserved. Raises ValueError outside 0 to 15."""
    if not 0 <= fmi <= MAX_FMI:
        raise ValueError("An FMI of this data link is from 0 to 15.")
    return None if fmi == RESERVED_FMI else _WITHOUT_DEGREES.get(fmi) or fmi_meaning(fmi)


def subject_words(mid: int, kind: str, number: int) -> str | None:
    """What the signal (kind "P") or the part (kind "S") is, or None where it is not certain here or a maker's own.

    Numbers of parts up to 150 are each sender's own; from 151 on they mean the same of every sender.
    """
    if kind == "P":
        return SPN_NAMES.get(number)
    if kind != "S":
        return None
    if number > 150:
        return _PARTS_OF_ALL.get(number)
    return _PARTS_OF_ENGINES.get(number) if mid in _ENGINES else None
