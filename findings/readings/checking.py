"""What cannot be a reading: asked by the forms, beside each field, and once more by the action that logs."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal

from commands.questions import TICK_TO_KEEP, is_in_doubt
from engineering import usual
from engineering.measures import UNITS, Kind, show
from engineering.plausible import beyond_a_boat, why_impossible

LARGEST = Decimal("9999999999")


Values = Mapping[str, Decimal | None]
"""Figures of one reading by their names: "value", "minimum", "maximum"."""


def unusual(name: str, unit: str, values: Values) -> dict[str, str]:
    """What is seldom so of a reading of the parameter ``name``, by the name of each figure; empty: nothing."""
    found = {one: usual.unusual(name, number, unit) for one, number in values.items() if number is not None}
    return {one: sentence for one, sentence in found.items() if sentence}


def question_key(name: str, unit: str, number: Decimal) -> str:
    """What a question about a value is known by when the form is sent again."""
    return f"{name}: {show(number.normalize(), unit)}"


def ask_about(name: str, unit: str, values: Values) -> dict[str, str]:
    """What has to be asked of a reading now, with what to do, by the name of each figure."""
    return {
        one: f"{sentence} Check the decimal point and the unit. {TICK_TO_KEEP}"
        for one, sentence in unusual(name, unit, values).items()
        if is_in_doubt(question_key(name, unit, values[one] or Decimal(0)))
    }


def impossible(unit: str, values: Values, *, of: str = "") -> dict[str, str]:
    """What is wrong with figures in ``unit``, by the name of each; empty: nothing. ``of`` names the parameter."""
    found = {}
    for name, number in values.items():
        if number is not None and (sentence := _impossible(number, unit) or usual.impossible(of, number, unit)):
            found[name] = sentence
    low, high = values.get("minimum"), values.get("maximum")
    if not found and low is not None and high is not None and low > high:
        both = f"The lowest value, {show(low, unit)}, is above the highest one, {show(high, unit)}."
        found["minimum"] = f"{both} Swap them, or correct one."
    value = values.get("value")
    if not found and value is not None:
        if low is not None and value < low:
            found["minimum"] = (
                f"The value, {show(value, unit)}, is below the lowest seen, {show(low, unit)}. Correct one."
            )
        elif high is not None and value > high:
            found["maximum"] = (
                f"The value, {show(value, unit)}, is above the highest seen, {show(high, unit)}. Correct one."
            )
    return found


def _impossible(number: Decimal, unit: str) -> str:
    if UNITS[unit].kind is Kind.ON_OFF and number not in (0, 1):
        return "A switch is on or off. Enter on or off."
    if abs(number) > LARGEST:
        return f"{show(number, unit)} is larger than anything on a boat. Check the figure and its unit."
    return why_impossible(number, unit) or beyond_a_boat(number, unit)
