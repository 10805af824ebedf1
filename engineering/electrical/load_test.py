"""The load test of a starting battery: half its cold-cranking amps for 15 seconds, judged by temperature."""

import itertools
from dataclasses import dataclass

from engineering.amounts import AmountProblem, reaches, require_number, require_positive
from engineering.electrical.state_of_charge import CELLS_OF_12_V, Points, interpolated

_MORE_LOAD = 0.10
"""How far a load may differ from half the rating before the table no longer fits (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class LoadTable:
    """Temperature of the battery in °C to the least voltage of six cells under load.

    Above its last row the last voltage holds; below its first the battery is too cold to be judged. Raises
    :class:`engineering.amounts.AmountProblem` for a table from which nothing can be read.
    """

    points: Points
    source: str

    def __post_init__(self) -> None:
        """Refuse a table from which nothing can be read."""
        ordered = tuple(sorted((float(t), float(v)) for t, v in self.points))
        for temperature, volts in ordered:
            require_number("points", temperature, "Each temperature of the table")
            require_positive("points", volts, "Each voltage of the table")
        if len(ordered) < 2:
            raise AmountProblem("The table needs at least two rows.", field="points")
        for (left, low), (right, high) in itertools.pairwise(ordered):
            if right <= left or high < low:
                raise AmountProblem(
                    f"The least voltage cannot fall while the temperature rises: look at {right:g} °C.", field="points"
                )
        object.__setattr__(self, "points", ordered)


@dataclass(frozen=True, slots=True)
class LoadTest:
    """What the test says: the load it asks for, and the least voltage at this temperature."""

    load_a: float
    minimum_v: float
    measured_v: float
    passes: bool
    load_fits: bool
    """Whether the load that was drawn, if it was given, is near enough half the rating."""


def half_rating_a(cold_cranking_a: float) -> float:
    """The load in A: half the cold-cranking amps. Raises :class:`engineering.amounts.AmountProblem`.

    Source: three vehicle makers' service manuals, 2003 to 2009 (common practice).
    """
    require_positive("cold_cranking_a", cold_cranking_a, "The cold-cranking rating")
    return cold_cranking_a / 2


def minimum_voltage_v(*, temperature_c: float, table: LoadTable, cells: int = CELLS_OF_12_V) -> float:
    """The least voltage in V under load at the battery's temperature, interpolated in the table.

    Raises :class:`engineering.amounts.AmountProblem` for a battery colder than the table. Source: the table's.
    """
    require_number("temperature_c", temperature_c, "The battery's temperature")
    if temperature_c > 70:
        raise AmountProblem("Let the battery cool: above 70 °C (158 °F) it must not be loaded.", field="temperature_c")
    coldest = table.points[0][0]
    if not reaches(temperature_c, coldest):
        raise AmountProblem(
            f"The table ends at {coldest:g} °C ({round(coldest * 1.8 + 32)} °F): warm the battery and test again.",
            field="temperature_c",
        )
    return interpolated(temperature_c, table.points) * cells / CELLS_OF_12_V


def judge_load_test(
    *,
    measured_v: float,
    cold_cranking_a: float,
    temperature_c: float,
    table: LoadTable,
    load_a: float | None = None,
    cells: int = CELLS_OF_12_V,
) -> LoadTest:
    """Judge the voltage in V after 15 s at half the cold-cranking amps.

    A voltage on the limit passes. ``load_a`` is what was drawn, if it is known. The battery must be charged to 75 %
    or more and be rid of its surface charge first. Raises :class:`engineering.amounts.AmountProblem`. Source: as of
    the functions above.
    """
    require_positive("measured_v", measured_v, "The voltage under load")
    if measured_v > 2.5 * cells:
        raise AmountProblem(
            f"{measured_v:.4g} V is too much for a battery of {2 * cells} V under load.", field="measured_v"
        )
    wanted = half_rating_a(cold_cranking_a)
    minimum = minimum_voltage_v(temperature_c=temperature_c, table=table, cells=cells)
    fits = True
    if load_a is not None:
        require_positive("load_a", load_a, "The load")
        fits = abs(load_a - wanted) <= _MORE_LOAD * wanted
    return LoadTest(wanted, minimum, measured_v, reaches(measured_v, minimum), fits)
