"""When the acid of a lead-acid battery freezes, and when a battery must not be charged."""

from engineering.amounts import AmountProblem, reaches
from engineering.electrical.state_of_charge import GravityTable, Points, interpolated

_POINTS_F: Points = ((1.0, 32), (1.1, 19), (1.15, 5), (1.2, -16), (1.25, -62), (1.28, -90))
"""Specific gravity to freezing point in °F. Source: US Army ordnance lesson OD1002, and TM 5-1185, table III."""
_MARGIN_C = 2.0
"""A cell is seldom exactly as warm as the thermometer beside it. Common practice, no source."""
HOTTEST_CHARGE_C = (125 - 32) / 1.8
"""Charging stops there, at 125 °F (52 °C). Source: a car maker's service manuals (1997, 1998); others allow
55 and 60 °C."""
COLDEST_LITHIUM_C = 0.0
"""Lithium cells are not charged below freezing. Common practice of their makers, no source."""


def freezes_at_c(gravity: float) -> float:
    """The temperature in °C at which acid of a specific gravity freezes.

    Raises :class:`engineering.amounts.AmountProblem` for what no acid has. Source: US Army ordnance lesson OD1002.
    """
    if not 1.0 <= gravity <= 1.4:
        raise AmountProblem(
            "The specific gravity of acid is from 1.000 to 1.400: write it like 1.265.", field="gravity"
        )
    return (interpolated(gravity, _POINTS_F) - 32) / 1.8


def may_be_frozen(*, gravity: float, temperature_c: float) -> bool:
    """Whether acid of a specific gravity may have turned to ice. Raises and source as :func:`freezes_at_c`."""
    return reaches(freezes_at_c(gravity) + _MARGIN_C, temperature_c)


def gravity_of(percent: float, table: GravityTable) -> float:
    """The specific gravity that a state of charge stands for, by a table; its end's beyond an end."""
    return interpolated(percent, tuple((charge, gravity) for gravity, charge in table.points))
