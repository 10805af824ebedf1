"""Figures in sentences: hours, counts and shares, with no more figures than they are worth and never an exponent."""

from __future__ import annotations

import math

from engineering.plurals import plural


def figure(value: float, significant: int = 3) -> str:
    """A number with so many significant figures, thousands separated: "1,240", "0.062", "279"."""
    if value == 0 or not math.isfinite(value):
        return f"{value:g}"
    places = significant - 1 - math.floor(math.log10(abs(value)))
    rounded = round(value, places)
    return f"{rounded:,.{max(0, places)}f}".rstrip("0").rstrip(".") if places > 0 else f"{rounded:,.0f}"


def hours(value: float, significant: int = 4) -> str:
    """Hours with their unit: "210 h", "1,240 h", "84.5 h"."""
    return f"{figure(value, significant)} h"


def percent(share: float) -> str:
    """A share as a whole percent: "43 %"; never 0 or 100 unless it is exactly that."""
    if 0 < share < 0.005:
        return "under 1%"
    if 0.995 <= share < 1:
        return "over 99%"
    return f"{share:.0%}"


def how_many(count: int, what: str) -> str:
    """A number of things: "1 event", "3 events", "no event"."""
    return f"{count} {plural(count, what)}" if count else f"no {what}"


def times(count: int) -> str:
    """How often: "never", "once", "twice", "3 times"."""
    return {0: "never", 1: "once", 2: "twice"}.get(count, f"{count:,} times")


def sureness(confidence: float) -> str:
    """A confidence (a fraction) as people say it, never rounded up to certainty: "95%", "99.99%"."""
    return f"{100 * confidence:.8g}%"
