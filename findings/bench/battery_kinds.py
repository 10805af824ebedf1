"""Kinds of battery: what each table is for, and when none of them may be charged. For the tools of batteries."""

from __future__ import annotations

from collections.abc import Sequence

from engineering.amounts import exceeds, reaches
from engineering.electrical.freezing import COLDEST_LITHIUM_C, HOTTEST_CHARGE_C, gravity_of, may_be_frozen
from engineering.electrical.nominal import AGM, AGM_HIGHER, FLOODED, FLOODED_GRAVITY
from engineering.electrical.state_of_charge import RestTable
from engineering.measures import Kind
from findings.bench.tool import Choice, Given, Quantity

FLOODED_KIND, AGM_KIND, GEL_KIND, LITHIUM_KIND = "flooded", "agm", "gel", "lithium"
_NAMES = {FLOODED_KIND: "flooded", AGM_KIND: "AGM", GEL_KIND: "gel", LITHIUM_KIND: "lithium"}
KIND = Choice(
    "kind",
    "Kind",
    [(FLOODED_KIND, "Flooded"), (AGM_KIND, "AGM"), (GEL_KIND, "Gel"), (LITHIUM_KIND, "Lithium")],
    hint="As on its label.",
)


def battery_temperature(empty: str) -> Quantity:
    """The battery's temperature, which may be left out; ``empty`` says what that means."""
    return Quantity(
        "temperature",
        "Battery temperature",
        Kind.TEMPERATURE,
        "degC",
        required=False,
        argument="temperature_c",
        hint=f"Empty: {empty}.",
    )


_TABLES: Sequence[tuple[str, RestTable]] = ((FLOODED_KIND, FLOODED), (AGM_KIND, AGM), (AGM_KIND, AGM_HIGHER))
NEVER_CHARGE = (
    "Never charge a battery that is frozen, cracked, swollen, leaking or at 125 °F (52 °C) or hotter: it can burst. "
    "Charge lithium only by its maker's manual, and never below freezing."
)


def kind_of(given: Given) -> str:
    """The kind that was chosen."""
    return given.choice("kind")


def name_of(kind: str) -> str:
    """A kind in words."""
    return _NAMES[kind]


def why_not_by_voltage(given: Given, table: RestTable) -> str:
    """Why a table of voltages at rest does not hold for the battery; empty where it does.

    A nominal table holds for its own kind. One that was typed is taken as the battery maker's, but for lithium none is
    used: its voltage hardly moves over most of its charge.
    """
    kind = kind_of(given)
    if kind == LITHIUM_KIND:
        return "the voltage at rest of a lithium battery says little of its charge; read its own monitor"
    made_for = next((of for of, nominal in _TABLES if nominal.points == table.points), None)
    if made_for is None or made_for == kind:
        return ""
    return f"the table is for {name_of(made_for)} batteries; write the maker's for this {name_of(kind)} one"


def charging_warnings(kind: str, temperature_c: float | None, *, percent: float | None = None) -> list[str]:
    """When the battery must not be charged: too hot, frozen, or lithium in the cold."""
    if temperature_c is None:
        return []
    if reaches(temperature_c, HOTTEST_CHARGE_C):
        return [
            "Do not charge it now: charging stops at 125 °F (52 °C), and a hotter battery can burst. Switch the "
            "charger off, let it cool, and find out why first."
        ]
    if kind == LITHIUM_KIND:
        if exceeds(COLDEST_LITHIUM_C, temperature_c):
            return ["Do not charge it now: charging lithium cells below freezing ruins them. Warm the battery first."]
        return []
    gravity = None if percent is None else gravity_of(percent, FLOODED_GRAVITY)
    return frozen_warning(gravity, temperature_c)


def frozen_warning(gravity: float | None, temperature_c: float) -> list[str]:
    """The warning for acid that may be ice, by its specific gravity."""
    if gravity is None or not may_be_frozen(gravity=gravity, temperature_c=temperature_c):
        return []
    return [
        "Do not charge or jump it now: at this charge and temperature its acid may be frozen, and a frozen battery can "
        "burst. Thaw it indoors and look for cracks first."
    ]
