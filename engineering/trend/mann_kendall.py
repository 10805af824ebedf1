"""Mann and Kendall's test: do later readings tend to be higher, or lower, than earlier ones?"""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import dataclass

from engineering.trend.orders import orders_by_inversions
from engineering.trend.series import Readings, TooFew, too_few_for_a_trend

MOST_FOR_EXACT = 10
"""Up to so many readings without ties the p-value is counted exactly (EPA QA/G-9S does so by table)."""


@dataclass(frozen=True, slots=True)
class MannKendall:
    """``score`` is S, pairs that rise less pairs that fall; ``z`` has no unit; ``p_value`` is two-sided."""

    score: int
    variance: float
    z: float
    p_value: float
    readings: int

    @property
    def tells_of_a_trend(self) -> bool:
        """Whether chance makes such an order of readings at most 5 times in 100 (common practice, no source)."""
        return self.p_value <= 0.05


def mann_kendall(readings: Readings) -> MannKendall | TooFew:
    """S, its variance with ties, Z = (S ∓ 1)/√Var and the two-sided p-value. Too few readings: :class:`TooFew`.

    Readings at the same hours are not compared. Up to ten readings without ties p is exact, else from the normal
    distribution (so it may differ from that of Kendall's tau, which corrects nothing).
    Source: US EPA QA/G-9S, *Data Quality Assessment: Statistical Methods for Practitioners* (2006), 4.3.4; Kendall,
    *Rank Correlation Methods* (1975), for ties on both sides, from memory.
    """
    return too_few_for_a_trend(readings) or score_of(readings)


def score_of(readings: Readings, *, inflation: float = 1.0) -> MannKendall:
    """The same for however few readings: for whoever knows what it is not worth.

    ``inflation`` multiplies the variance, for readings that resemble their neighbors (``memory.inflation_of``).
    """
    points = list(zip(readings.hours, readings.values, strict=True))
    score = sum(
        (later > earlier) - (later < earlier)
        for index, (hours, later) in enumerate(points)
        for before, earlier in points[:index]
        if hours != before
    )
    variance = score_variance(readings) * inflation
    z = 0.0 if not variance else (score - (score > 0) + (score < 0)) / math.sqrt(variance)
    count = len(points)
    has_ties = len(set(readings.values)) < count or len(set(readings.hours)) < count
    if count <= MOST_FOR_EXACT and not has_ties and inflation == 1:
        p_value = _exact(count, abs(score))
    else:
        p_value = math.erfc(abs(z) / math.sqrt(2))
    return MannKendall(score, variance, z, p_value, count)


def score_variance(readings: Readings) -> float:
    """The variance of S where order means nothing, with ties among the values, among the hours, and both."""
    count = len(readings.values)
    hours = [many for many in Counter(readings.hours).values() if many > 1]
    values = [many for many in Counter(readings.values).values() if many > 1]

    def main(n: int) -> int:
        return n * (n - 1) * (2 * n + 5)

    variance = (main(count) - sum(map(main, hours)) - sum(map(main, values))) / 18
    if hours and values and count > 2:
        triples = [sum(n * (n - 1) * (n - 2) for n in ties) for ties in (hours, values)]
        pairs = [sum(n * (n - 1) for n in ties) for ties in (hours, values)]
        variance += triples[0] * triples[1] / (9 * count * (count - 1) * (count - 2))
        variance += pairs[0] * pairs[1] / (2 * count * (count - 1))
    return variance


def _exact(count: int, score: int) -> float:
    """The chance of a score at least so far from zero, over every order of so many readings."""
    ways = orders_by_inversions(count)
    pairs = count * (count - 1) // 2
    far = sum(number for inversions, number in enumerate(ways) if abs(pairs - 2 * inversions) >= score)
    return far / math.factorial(count)
