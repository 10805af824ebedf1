"""Readings that resemble their neighbors: how much less they say than as many readings taken apart."""

from __future__ import annotations

import math
from itertools import pairwise

from engineering.trend.series import Readings

FEWEST_TO_SEE = 10
"""With fewer readings it cannot be seen whether neighbors resemble each other."""
MOST = 0.9


def memory_of(readings: Readings, slope: float) -> float:
    """How much what a reading is off the line resembles what its neighbor is off it: 0 not at all, towards 1 fully.

    The first serial correlation of what the line of this slope leaves over, corrected for what a line takes away from
    it, (n·r + 2)/(n − 4), and never below zero. Zero for fewer than ten readings, which cannot show it.
    Source: Kendall, "Note on Bias in the Estimation of Autocorrelation", Biometrika 41 (1954), from memory.
    """
    count = len(readings.values)
    if count < FEWEST_TO_SEE:
        return 0.0
    left = [value - slope * hours for hours, value in zip(readings.hours, readings.values, strict=True)]
    mean = math.fsum(left) / count
    off = [one - mean for one in left]
    squares = math.fsum(one * one for one in off)
    if squares <= 0:
        return 0.0
    serial = math.fsum(one * after for one, after in pairwise(off)) / squares
    return min(MOST, max(0.0, (count * serial + 2) / (count - 4)))


def unseen_memory(memory: float, readings: int) -> float:
    """The memory to allow for where a trend is told: what was seen, or half of the chance error of seeing it, 0.5/√n.

    Records in which a memory happens not to show are the very ones that seem to have a trend (measured in
    benchmarks/README.md). Fewer than ten readings are taken as they are.
    """
    return max(memory, 0.5 / math.sqrt(readings)) if readings >= FEWEST_TO_SEE else memory


def inflation_of(memory: float, readings: int) -> float:
    """By how much so many such readings make the variance of Kendall's score larger: (1 + m)/(1 − m) · (1 + 4/n).

    The second factor allows for the memory itself being estimated (coverage measured in benchmarks/README.md). 1 where
    there is no memory.

    Source: Bayley and Hammersley, "The Effective Number of Independent Observations in an Autocorrelated Time Series",
    Supplement to the Journal of the Royal Statistical Society 8 (1946), from memory, for a memory that fades evenly.
    """
    return (1 + memory) / (1 - memory) * (1 + 4 / readings) if memory else 1.0
