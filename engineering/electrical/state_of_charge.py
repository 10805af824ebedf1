"""State of charge of a lead-acid battery, from its voltage at rest or from the specific gravity of its acid.

Tables differ from maker to maker by 0.2 V and more, so every function takes its table; nominal ones with their sources
are in :mod:`engineering.electrical.nominal`.
"""

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

from engineering.amounts import AmountProblem, require_number, require_positive

Points = tuple[tuple[float, float], ...]
CELLS_OF_12_V = 6
_COLDEST_C, _HOTTEST_C = -40.0, 75.0
_NO_REST_V = 0.4
"""So far above its table's top, for six cells, a battery is not at rest or has more cells (no source)."""


@dataclass(frozen=True, slots=True)
class RestTable:
    """Voltage at rest to percent of charge, for six cells.

    ``volts_per_c`` is added for each °C above ``reference_c``; None where the source gives no correction. Raises
    :class:`engineering.amounts.AmountProblem` for a table that does not rise.
    """

    points: Points
    reference_c: float
    volts_per_c: float | None
    source: str

    def __post_init__(self) -> None:
        """Refuse a table from which nothing can be read."""
        object.__setattr__(self, "points", _rising(self.points, "volts"))


@dataclass(frozen=True, slots=True)
class GravityTable:
    """Specific gravity to percent of charge, for acid at the reference temperature of its correction."""

    points: Points
    source: str

    def __post_init__(self) -> None:
        """Refuse a table from which nothing can be read."""
        object.__setattr__(self, "points", _rising(self.points, "specific gravity"))


@dataclass(frozen=True, slots=True)
class GravityCorrection:
    """What to add to a hydrometer reading for each °C above ``reference_c``."""

    reference_c: float
    per_c: float
    source: str


@dataclass(frozen=True, slots=True)
class Charge:
    """The state of charge. ``percent`` is that of the table's end where the value lies beyond it.

    ``corrected`` is the voltage (of the whole battery) or specific gravity as it would be at the reference temperature.
    """

    percent: float
    corrected: float
    is_above_table: bool
    is_below_table: bool


def charge_at_rest(
    *, rest_v: float, table: RestTable, temperature_c: float | None = None, cells: int = CELLS_OF_12_V
) -> Charge:
    """The state of charge from the voltage at rest in V, interpolated in the table.

    Without a temperature, or a correction in the table, nothing is corrected. The battery must have rested: 8 to 24 h
    after charging or load, an AGM battery at least 2 h (published owner's texts). Raises
    :class:`engineering.amounts.AmountProblem` for a voltage that no battery at rest has. Source: the table's.
    """
    require_positive("rest_v", rest_v, "The voltage at rest")
    if cells < 1:
        raise AmountProblem("A battery has at least one cell.", field="cells")
    scaled = rest_v * CELLS_OF_12_V / cells
    if table.volts_per_c is not None and temperature_c is not None:
        _require_battery_temperature(temperature_c)
        scaled += table.volts_per_c * (temperature_c - table.reference_c)
    if scaled > table.points[-1][0] + _NO_REST_V:
        raise AmountProblem(
            f"{rest_v:.4g} V is more than a battery of {2 * cells} V has at rest. Stop charging it and let it rest, "
            "or choose its voltage.",
            field="rest_v",
        )
    return _charge(scaled, table.points, corrected=scaled * cells / CELLS_OF_12_V)


def charge_by_gravity(*, gravity: float, table: GravityTable) -> Charge:
    """The state of charge from a specific gravity that is corrected for temperature, interpolated in the table.

    Raises :class:`engineering.amounts.AmountProblem` for what no acid has. Source: the table's.
    """
    _require_gravity("gravity", gravity)
    return _charge(gravity, table.points, corrected=gravity)


def corrected_gravity(*, read_gravity: float, temperature_c: float, correction: GravityCorrection) -> float:
    """A hydrometer reading as it would be at the reference temperature of the correction.

    Raises :class:`engineering.amounts.AmountProblem` for what no acid has. Source: the correction's.
    """
    _require_gravity("read_gravity", read_gravity)
    _require_battery_temperature(temperature_c)
    return read_gravity + correction.per_c * (temperature_c - correction.reference_c)


@dataclass(frozen=True, slots=True)
class CellSpread:
    """The cells of one battery beside each other; cells are counted from 1, as they were given."""

    spread: float
    highest: float
    lowest: float
    weakest_cell: int


def cell_spread(gravities: Sequence[float]) -> CellSpread:
    """How far the cells lie apart, and which is weakest (the first of several).

    Raises :class:`engineering.amounts.AmountProblem` for fewer than two cells or what no acid has.
    """
    if len(gravities) < 2:
        raise AmountProblem("Measure at least two cells to compare them.", field="gravities")
    for gravity in gravities:
        _require_gravity("gravities", gravity)
    lowest, highest = min(gravities), max(gravities)
    return CellSpread(highest - lowest, highest, lowest, list(gravities).index(lowest) + 1)


def interpolated(value: float, points: Points) -> float:
    """The second number of ``points`` at ``value``, on straight lines between them; the end's beyond an end."""
    if value <= points[0][0]:
        return points[0][1]
    for (left, low), (right, high) in itertools.pairwise(points):
        if value <= right:
            return low + (high - low) * (value - left) / (right - left)
    return points[-1][1]


def _charge(value: float, points: Points, *, corrected: float) -> Charge:
    return Charge(interpolated(value, points), corrected, value > points[-1][0], value < points[0][0])


def _rising(points: Points, of: str) -> Points:
    ordered = tuple(sorted((float(x), float(percent)) for x, percent in points))
    for x, percent in ordered:
        require_positive("points", x, f"Each {of} of the table")
        require_number("points", percent, "Each percentage of the table")
        if not 0 <= percent <= 100:
            raise AmountProblem("A percentage of the table is from 0 to 100.", field="points")
    if len(ordered) < 2:
        raise AmountProblem("The table needs at least two rows.", field="points")
    for (left, low), (right, high) in itertools.pairwise(ordered):
        if right <= left or high <= low:
            raise AmountProblem(f"The percentage must rise with the {of}: look at {right:g}.", field="points")
    return ordered


def _require_gravity(field: str, gravity: float) -> None:
    require_number(field, gravity, "The specific gravity")
    if not 1.0 <= gravity <= 1.4:
        raise AmountProblem("The specific gravity of acid is from 1.000 to 1.400: write it like 1.265.", field=field)


def _require_battery_temperature(temperature_c: float) -> None:
    require_number("temperature_c", temperature_c, "The battery's temperature")
    if not _COLDEST_C <= temperature_c <= _HOTTEST_C:
        raise AmountProblem("A battery to be tested is between −40 and 75 °C (−40 and 167 °F).", field="temperature_c")
