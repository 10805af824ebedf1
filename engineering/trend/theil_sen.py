"""Theil and Sen's line: the slope that half of all pairs of readings exceed. One wild reading does not move it."""

from __future__ import annotations

import math
from dataclasses import dataclass
from statistics import NormalDist, median

from engineering.trend.mann_kendall import score_variance
from engineering.trend.problem import TrendProblem
from engineering.trend.series import Readings, TooFew, too_few_for_a_trend


@dataclass(frozen=True, slots=True)
class Line:
    """value = intercept + slope · hours; slopes in units of the value per hour, with Sen's bounds."""

    slope: float
    slope_low: float
    slope_high: float
    intercept: float
    confidence: float

    def at(self, hours: float) -> float:
        """The line's value at an hour, in the unit of the values."""
        return self.intercept + self.slope * hours


def theil_sen(readings: Readings, *, confidence: float = 0.95) -> Line | TooFew:
    """The median of all slopes between readings at different hours; intercept median(value) − slope·median(hours).

    Bounds by Sen: the slopes ranked (N ∓ z·σ)/2 among N, σ² the variance of Kendall's score with ties. Too few
    readings: :class:`TooFew`.
    Source: Sen, "Estimates of the Regression Coefficient Based on Kendall's Tau", JASA 63 (1968), 1379.

    Raises:
        TrendProblem: a confidence not from 50 % to 99.99 %.
    """
    too_few = too_few_for_a_trend(readings)
    return too_few or line_of(readings, confidence=confidence)


def line_of(readings: Readings, *, confidence: float = 0.95, inflation: float = 1.0) -> Line:
    """The same for however few readings, two different hours at least: for whoever knows what it is not worth.

    ``inflation`` multiplies the variance of Kendall's score, for readings that resemble their neighbors.

    Raises:
        TrendProblem: a confidence out of its range, or all readings at the same hours.
    """
    if not 0.5 <= confidence <= 0.9999:
        raise TrendProblem("Choose a confidence from 50 % to 99.99 %.", field="confidence")
    slopes = pair_slopes(readings)
    if not slopes:
        raise TrendProblem("All readings are at the same hours, so there is no slope.", field="hours")
    slope = median(slopes)
    reach = NormalDist().inv_cdf(0.5 + confidence / 2) * math.sqrt(max(0.0, score_variance(readings) * inflation))
    lowest = max(round((len(slopes) - reach) / 2) - 1, 0)
    highest = min(round((len(slopes) + reach) / 2), len(slopes) - 1)
    return Line(
        slope=slope,
        slope_low=slopes[lowest],
        slope_high=slopes[highest],
        intercept=median(readings.values) - slope * median(readings.hours),
        confidence=confidence,
    )


def pair_slopes(readings: Readings) -> list[float]:
    """The slope between every two readings at different hours, in order of size."""
    points = list(zip(readings.hours, readings.values, strict=True))
    return sorted(
        (later - earlier) / (hours - before)
        for index, (hours, later) in enumerate(points)
        for before, earlier in points[:index]
        if hours != before
    )
