"""Readings of one parameter over engine hours."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from engineering.trend.problem import TrendProblem

FEWEST_READINGS = 5
"""With fewer, not even readings that all rise in turn reach the usual 5 % (4 readings: 2 in 24)."""
MOST_READINGS = 400
"""Every reading is compared with every other one; the latest of a longer record are enough."""


@dataclass(frozen=True, slots=True)
class TooFew:
    """The answer where a trend cannot be told: ``sentence`` begins with "Not enough data" and says why.

    ``last`` and ``limit`` are given where the last reading is beyond a limit, which wants saying all the more.
    """

    sentence: str
    last: float | None = None
    limit: float | None = None


@dataclass(frozen=True, slots=True)
class Readings:
    """Values against engine hours, oldest hours first. ``values`` may be in any one unit.

    Raises:
        TrendProblem: different numbers of hours and values, or one that is not finite.
    """

    hours: tuple[float, ...]
    values: tuple[float, ...]

    def __post_init__(self) -> None:
        """Refuse what no calculation can use."""
        if len(self.hours) != len(self.values):
            raise TrendProblem("Each reading needs its hours and its value.", field="hours")
        for name, numbers in (("hours", self.hours), ("values", self.values)):
            if not all(math.isfinite(number) for number in numbers):
                raise TrendProblem("Every reading must be an ordinary number.", field=name)
        if list(self.hours) != sorted(self.hours):
            raise TrendProblem("Give the readings in order of their hours.", field="hours")
        if len(self.hours) > MOST_READINGS:
            raise TrendProblem(f"At most {MOST_READINGS} readings can be compared at once.", field="values")

    @property
    def span_h(self) -> float:
        """Hours from the first reading to the last."""
        return self.hours[-1] - self.hours[0] if self.hours else 0.0


def readings_of(pairs: Sequence[tuple[float, float]]) -> Readings:
    """Readings from pairs of hours and value in any order; of more than can be compared, those at the highest hours.

    Raises:
        TrendProblem: a number that is not finite.
    """
    ordered = sorted((float(hours), float(value)) for hours, value in pairs)[-MOST_READINGS:]
    return Readings(tuple(hours for hours, _ in ordered), tuple(value for _, value in ordered))


def too_few_for_a_trend(readings: Readings) -> TooFew | None:
    """Why a trend cannot be told, or None: fewer than five readings, or fewer than three different hours."""
    count = len(readings.values)
    if count < FEWEST_READINGS:
        counted = {0: "no reading", 1: "one reading"}.get(count, f"{count} readings")
        return TooFew(
            f"Not enough data for a trend: {counted} with known hours, and it takes {FEWEST_READINGS} or more."
        )
    if len(set(readings.hours)) < 3:
        return TooFew("Not enough data for a trend: all readings are at one or two different hours.")
    return None
