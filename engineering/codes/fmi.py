"""Failure mode identifiers, 0 to 31, in our own words.

Source: 0–19 and 31 after the open library AgIsoStack++ (citing ISO 11783-12 Annex E); 20–30 after a public list and
from memory.
"""

_MEANINGS: dict[int, str] = {
    0: "above the normal range, most severe",
    1: "below the normal range, most severe",
    2: "erratic, intermittent or incorrect",
    3: "voltage above normal, or shorted high",
    4: "voltage below normal, or shorted low",
    5: "current below normal, or open circuit",
    6: "current above normal, or grounded circuit",
    7: "mechanical system not responding, or out of adjustment",
    8: "abnormal frequency, pulse width or period",
    9: "abnormal update rate",
    10: "abnormal rate of change",
    11: "root cause not known",
    12: "bad device or component",
    13: "out of calibration",
    14: "special instructions: see the maker's manual",
    15: "above the normal range, least severe",
    16: "above the normal range, moderately severe",
    17: "below the normal range, least severe",
    18: "below the normal range, moderately severe",
    19: "received network data in error",
    20: "data drifted high",
    21: "data drifted low",
    31: "condition exists",
}


def fmi_meaning(fmi: int) -> str | None:
    """What the failure mode is, or None for 22–30, which are reserved. Raises ValueError outside 0–31."""
    if not 0 <= fmi <= 31:
        raise ValueError("An FMI is from 0 to 31.")
    return _MEANINGS.get(fmi)
