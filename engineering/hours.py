"""Engine hours as people read them: one way for pages, log, pictures and reports."""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal

from engineering.canonical import plain_decimal
from engineering.measures import MeasureProblem, parse_measure

_SAID = re.compile(
    r"[\s\"'*#-]*"
    r"(?:(?:total|actual|current)\s+)?"
    r"(?:engine\s+(?:total\s+)?(?:operating\s+|running\s+|run\s+)?hours|(?:operating|running|total)\s+hours"
    r"|(?:engine\s+)?hour\s?meter(?:\s+(?:reading|shows))?|hours)"
    r"(?:\s+total)?"
    r"\s*(?:[\[(](?:h|hrs?|hours)\.?[\])])?[\"']?\s*[:=,;\t]\s*[\"']?"
    r"([0-9][0-9.,' ]{0,12}?)"
    r"\s*(?:h|hrs?|hours)?\.?[\s\"']*",
    re.IGNORECASE,
)


_MAY_BE_THOUSANDS = re.compile(r"[1-9][0-9]{0,2}\.[0-9]{3}")
"""No meter shows thousandths of an hour: "1.204" is 1204 h as much of the world writes it."""
_MOST_H = Decimal(200_000)
"""No engine runs for longer; a unit without hours sends the largest number that fits. Common practice, no source."""
_NOT_AVAILABLE_H = Decimal(0xFFFF)


def hours_words(hours: Decimal) -> str:
    """Hours with thousands separated and no empty decimals: "1,204.5 h", "84 h"."""
    return f"{Decimal(plain_decimal(hours)):,f} h"


@dataclass(frozen=True)
class HoursSaid:
    """Engine hours that a text says of itself: the figure, the number of the line, and the line."""

    hours: Decimal
    line: int
    text: str


def hours_said(text: str) -> HoursSaid | None:
    """The engine hours that an instrument's text gives in a line of their own; None where it gives none, or several.

    Idle hours, trip hours and hours since something are others, and hours within a code's line are the code's.
    """
    found: list[HoursSaid] = []
    for number, line in enumerate(text.splitlines(), start=1):
        match = _SAID.fullmatch(line) if len(line) < 120 else None
        if match is None or _MAY_BE_THOUSANDS.fullmatch(match[1].strip()):
            continue
        try:
            measure = parse_measure(match[1].strip(), default_unit="h")
        except MeasureProblem:
            continue
        if 0 < measure.value < _MOST_H and measure.value != _NOT_AVAILABLE_H:
            found.append(HoursSaid(measure.value, number, line.strip()))
    return found[0] if found and len({one.hours for one in found}) == 1 else None
