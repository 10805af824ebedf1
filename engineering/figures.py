"""How many figures a converted value deserves: as many as were entered, so that 44 psi is 3.03 bar, not 3.0337."""

from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_UP, Decimal
from enum import StrEnum

from engineering.measures import convert

LEAST_FIGURES = 3
"""A value entered as "2 bar" is seldom meant to one figure; 29.0 psi says more of it than 30 (common practice)."""


class Rounding(StrEnum):
    """Which way a converted value is rounded."""

    NEAREST = ROUND_HALF_UP
    UP = ROUND_CEILING
    DOWN = ROUND_FLOOR


def convert_sensibly(
    value: Decimal,
    from_unit: str,
    to_unit: str,
    *,
    toward: Rounding = Rounding.NEAREST,
    least_figures: int = LEAST_FIGURES,
    most_decimals: int | None = None,
    least_decimals: int | None = None,
    is_difference: bool = False,
) -> Decimal:
    """The value in another unit of its kind, rounded to about the step in which it was entered.

    The step is one unit of the last figure after the point, or one for a whole number (zeros that a database adds
    after the point do not count). The result keeps the power of ten at or below that step in the new unit, and at
    least ``least_figures`` figures; a temperature, whose zero lies elsewhere, is rounded by the step alone.
    ``most_decimals`` is the most that can be stored, ``least_decimals`` the fewest that are kept (below 0: of tens);
    ``is_difference`` is as of ``convert``. In its own unit the value stays exactly itself.

    Raises :class:`engineering.measures.MeasureProblem` where the kinds differ. Source: the rule agrees with the
    examples of NIST SP 811 (2008), B.7.2 "Rounding converted numerical values" (recalled from memory).
    """
    if from_unit == to_unit:
        return value
    exact = convert(value, from_unit, to_unit, is_difference=is_difference)
    offset = convert(Decimal(0), from_unit, to_unit, is_difference=is_difference)
    place = convert(_step(value), from_unit, to_unit, is_difference=True).adjusted()
    if not offset and exact:
        place = min(place, exact.adjusted() - least_figures + 1)
    if least_decimals is not None:
        place = min(place, -least_decimals)
    if most_decimals is not None:
        place = max(place, -most_decimals)
    rounded = (exact.scaleb(-place)).to_integral_value(rounding=toward.value).scaleb(place)
    return Decimal(format(rounded, "f"))


def _step(value: Decimal) -> Decimal:
    """One unit of the last figure that was entered: 0.1 for 13.4 (or 13.4000), 1 for 5200."""
    exponent = value.normalize().as_tuple().exponent
    return Decimal(1).scaleb(min(0, int(exponent)))
