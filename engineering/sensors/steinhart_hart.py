"""Thermistors by the Steinhart–Hart equation, with its coefficients given or taken from three points."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from engineering.amounts import AmountProblem, require_number, require_positive
from engineering.sensors.thermistor import ZERO_C_IN_K, from_inverse_kelvin, out_of_reach, require_livable

_LEAST_LOG, _MOST_LOG = math.log(1e-2), math.log(1e9)
_NO_THERMISTOR = "These coefficients describe no thermistor whose resistance falls as it warms. Check signs and powers."

Point = tuple[float, float]
"""Temperature in °C, resistance in ohms."""


@dataclass(frozen=True, slots=True)
class SteinhartHart:
    """1/T = A + B·ln R + C·(ln R)³, T in kelvins and R in ohms.

    ``points_c`` is the coldest and the warmest of the points that the coefficients come from, where known: between
    them the equation is good to some hundredths of a degree, outside it is a guess. Raises :class:`AmountProblem`
    for coefficients that describe no NTC thermistor. Source: Steinhart and Hart, "Calibration curves for
    thermistors", Deep-Sea Research 15 (1968), from memory.
    """

    a: float
    b: float
    c: float
    points_c: tuple[float, float] | None = None

    def __post_init__(self) -> None:
        """Refuse coefficients under which a warmer sensor would not have less resistance."""
        for name, value in (("a", self.a), ("b", self.b), ("c", self.c)):
            require_number(name, value, f"Coefficient {name.upper()}")
        if self.b <= 0:
            raise AmountProblem(_NO_THERMISTOR, field="b")

    @classmethod
    def through(cls, points: Sequence[Point]) -> "SteinhartHart":
        """The coefficients through three points of temperature in °C and resistance in ohms, in any order.

        Raises :class:`AmountProblem` unless there are three, with the resistance falling as the temperature rises.
        """
        if len(points) != 3:
            raise AmountProblem("Give three points: the coldest, one in the middle, and the warmest.", field="points")
        ordered = sorted(points)
        _require_falling(points)
        a, b, c = _coefficients(ordered)
        if b <= 0 or any(b + 3 * c * math.log(ohm) ** 2 <= 0 for _, ohm in ordered):
            raise AmountProblem("No thermistor's curve goes through these points. Check them.", field="points")
        return cls(a, b, c, points_c=(ordered[0][0], ordered[-1][0]))

    def temperature_c(self, resistance_ohm: float) -> float:
        """The temperature in °C at a resistance in ohms.

        Raises :class:`AmountProblem` where the resistance is not above zero, or no sensor could be at that temperature.
        """
        require_positive("resistance_ohm", resistance_ohm, "The resistance")
        log = math.log(resistance_ohm)
        if abs(log) >= self._turns_at():
            raise out_of_reach(resistance_ohm)
        return from_inverse_kelvin(self._inverse(log), resistance_ohm)

    def resistance_ohm(self, temperature_c: float) -> float:
        """The resistance in ohms to expect at a temperature in °C.

        Found by halving, as the closed solution of the cubic loses figures and fails where C is zero or negative.
        Raises :class:`AmountProblem` where the equation has no resistance from 0.01 Ω to 1 GΩ for the temperature.
        """
        require_livable("temperature_c", temperature_c)
        wanted = 1 / (temperature_c + ZERO_C_IN_K)
        turn = self._turns_at()
        low, high = max(_LEAST_LOG, -turn), min(_MOST_LOG, turn)
        if not self._inverse(low) <= wanted <= self._inverse(high):
            raise AmountProblem(
                f"These coefficients give no resistance for {temperature_c:g} °C. Check them.", field="temperature_c"
            )
        while low < (middle := (low + high) / 2) < high:
            low, high = (middle, high) if self._inverse(middle) < wanted else (low, middle)
        return math.exp(middle)

    def _inverse(self, log: float) -> float:
        return self.a + self.b * log + self.c * log**3

    def _turns_at(self) -> float:
        """The size of ln R past which the curve would turn back, which a negative C makes it do."""
        return math.sqrt(self.b / (-3 * self.c)) if self.c < 0 else math.inf


def _require_falling(points: Sequence[Point]) -> None:
    """Refuse points between which the resistance does not fall as the temperature rises."""
    for row, (celsius, ohm) in enumerate(points, start=1):
        require_livable("points", celsius, row=row)
        require_positive("points", ohm, "The resistance of each point", row=row)
    for (cold_c, cold_ohm), (warm_c, warm_ohm) in pairwise(sorted(points)):
        row = points.index((warm_c, warm_ohm)) + 1
        if cold_c == warm_c:
            raise AmountProblem(f"Two points have the same temperature, {cold_c:g} °C.", field="points", row=row)
        if cold_ohm <= warm_ohm:
            raise AmountProblem(
                f"The resistance does not fall from {cold_c:g} to {warm_c:g} °C. Check the points.",
                field="points",
                row=row,
            )


def _coefficients(points: Sequence[Point]) -> tuple[float, float, float]:
    """A, B and C by divided differences of 1/T over ln R."""
    log1, log2, log3 = (math.log(ohm) for _, ohm in points)
    inverse1, inverse2, inverse3 = (1 / (celsius + ZERO_C_IN_K) for celsius, _ in points)
    if log1 + log2 + log3 == 0:
        raise AmountProblem("No curve of this kind goes through these points. Take another middle one.", field="points")
    slope2 = (inverse2 - inverse1) / (log2 - log1)
    slope3 = (inverse3 - inverse1) / (log3 - log1)
    c = (slope3 - slope2) / (log3 - log2) / (log1 + log2 + log3)
    b = slope2 - c * (log1**2 + log1 * log2 + log2**2)
    return inverse1 - (b + log1**2 * c) * log1, b, c
