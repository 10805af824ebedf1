"""What cannot be a reading: asked by the forms, beside each field, and once more by the action that logs."""

from __future__ import annotations

from decimal import Decimal

from engineering.measures import UNITS, Kind, show
from engineering.plausible import beyond_a_boat

LARGEST = Decimal("9999999999")


def impossible(unit: str, values: dict[str, Decimal | None]) -> dict[str, str]:
    """What is wrong with figures in ``unit``, by the name of each ("value", "minimum", "maximum"); empty: nothing."""
    found = {}
    for name, number in values.items():
        if number is not None and (sentence := _impossible(number, unit)):
            found[name] = sentence
    low, high = values.get("minimum"), values.get("maximum")
    if not found and low is not None and high is not None and low > high:
        both = f"The lowest value, {show(low, unit)}, is above the highest one, {show(high, unit)}."
        found["minimum"] = f"{both} Swap them, or correct one."
    return found


def _impossible(number: Decimal, unit: str) -> str:
    if UNITS[unit].kind is Kind.ON_OFF and number not in (0, 1):
        return "A switch is on or off. Enter on or off."
    if abs(number) > LARGEST:
        return f"{show(number, unit)} is larger than anything on a boat. Check the figure and its unit."
    return beyond_a_boat(number, unit)
