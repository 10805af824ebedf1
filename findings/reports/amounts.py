"""Readings in words for the paper: the value as it was read, and beside it in the shop's own system."""

from __future__ import annotations

from decimal import Decimal

from engineering.measures import UNITS, convert, preferred_unit, show
from engineering.units import Kind
from engineering.usual import is_difference
from findings.drawing.pictures import Verdict
from findings.readings.queries import OVER_LOG, band_words
from findings.readings.working import NOT_JUDGED
from findings.reports.record import ReadingFacts

METRIC = frozenset(
    [
        "kPa",
        "bar",
        "mbar",
        "Pa",
        "MPa",
        "kgf/cm2",
        "degC",
        "km/h",
        "m/s",
        "mm",
        "cm",
        "m",
        "mm2",
        "cm2",
        "L",
        "mL",
        "L/h",
        "L/min",
        "kW",
        "W",
        "PS",
        "N.m",
        "kgf.m",
        "kg",
        "g",
        "kg/L",
        "kg/m3",
        "g/kW.h",
    ]
)
EITHER = frozenset({"kn", "K"})
"""Units that people of both systems read."""
LEGIBLE = 4


def other_unit(unit: str, system: str) -> str | None:
    """The unit of the shop's own system for a value in a unit of the other one; None where it has one already."""
    if unit not in UNITS or unit in EITHER:
        return None
    kind = UNITS[unit].kind
    if kind in {Kind.ON_OFF, Kind.COUNT, Kind.PERCENT}:
        return None
    us, metric = preferred_unit(kind, "us"), preferred_unit(kind, "metric")
    if us == metric or (unit in METRIC) == (system == "metric"):
        return None
    return metric if system == "metric" else us


def amount(value: Decimal, unit: str, system: str, *, of: str) -> str:
    """A value with its unit, and with the shop's own unit where that is another: "38 psi (262 kPa)".

    ``of`` names the parameter: a rise of 18 °F is one of 10 °C.
    """
    other = other_unit(unit, system)
    shown = show(value, unit)
    if other is None:
        return shown
    turned = convert(value, unit, other, is_difference=is_difference(of, unit))
    return f"{shown} ({show(turned, other, significant=LEGIBLE)})"


def band_of(reading: ReadingFacts) -> str:
    """The limits in words: "40 to 65 psi", "at least 40 psi", or nothing."""
    return band_words(reading.low, reading.high, reading.unit)


def extremes_words(reading: ReadingFacts) -> str:
    """What it went down and up to: "between 36 and 41 psi"; nothing where that was not read."""
    low, high, unit = reading.minimum, reading.maximum, reading.unit
    over = f" {OVER_LOG}" if is_over_log(reading) else ""
    if low is not None and low == high == reading.value:
        return f"the same{over or ' all the time'}"
    if low is not None and high is not None:
        return f"between {low.normalize():f} and {show(high, unit)}{over}"
    if low is not None:
        return f"down to {show(low, unit)}{over}"
    return f"up to {show(high, unit)}{over}" if high is not None else ""


def is_over_log(reading: ReadingFacts) -> bool:
    """Whether its lowest and highest are those of a whole log: nobody corrected it by hand."""
    return bool(reading.file_sha256) and not reading.is_correction


def judged_by(reading: ReadingFacts) -> tuple[str, ...]:
    """The extremes that its verdict comes from, where that is not the value: "lowest", "highest"."""
    says = f", {reading.says.removeprefix('at its ')}"
    return tuple(name for name in ("lowest", "highest") if f", {name} " in says)


def judged_extremes(reading: ReadingFacts, system: str) -> str:
    """The same with their values: "lowest 20 psi (138 kPa)"; empty where the value itself was judged."""
    values = {"lowest": reading.minimum, "highest": reading.maximum}
    found = [(name, values[name]) for name in judged_by(reading)]
    return ", ".join(
        f"{name} {amount(one, reading.unit, system, of=reading.parameter)}" for name, one in found if one is not None
    )


def verdict_words(reading: ReadingFacts) -> str:
    """What is said of a value beyond the value itself."""
    value = show(reading.value, reading.unit)
    says = reading.says.removeprefix(f"{value}, ")
    return says if says != reading.says or value not in says else reading.says


def why_unjudged(reading: ReadingFacts) -> str:
    """Why the tool that worked it out did not judge it; empty where it was judged, or no limits were known."""
    if reading.verdict != Verdict.NO_LIMITS:
        return ""
    before, _, why = verdict_words(reading).partition(f"{NOT_JUDGED.lower()} ")
    return "" if before else why
