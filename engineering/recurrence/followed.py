"""Repairs as they were followed, scan by scan: the share that still holds lies between two of product-limit's shares.

A return is known to lie after the last complete scan without the code and not after the scan that saw it. Nothing is
supposed of where in between, nor of why somebody looked: boats come because it is back, or they come for service.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from engineering.recurrence.held import Held, all_held_bound


@dataclass(frozen=True, slots=True)
class Share:
    """One product-limit share after some hours, the variance of its logarithm, and its bounds."""

    share: float
    variance: float
    low: float
    high: float
    at_risk: int
    came_back: int


class Followed:
    """Repairs in arrays, and their share after any hours, by either of two placings of the returns.

    ``reach`` is the quantile that the bounds go out to; ``confidence`` that of the exact bounds where all or none hold.
    """

    def __init__(self, rows: Sequence[Held], *, reach: float, confidence: float) -> None:
        self._seen = np.array([one.hours for one in rows], dtype=float)
        self._least = np.array([one.last_without for one in rows], dtype=float)
        self._back = np.array([one.came_back for one in rows], dtype=bool)
        self._many = np.array([one.repairs for one in rows], dtype=float)
        self._hours = np.unique(np.concatenate([self._seen, self._least]))
        self._seen_at = np.searchsorted(self._hours, self._seen)
        self._least_at = np.searchsorted(self._hours, self._least)
        self._reach, self._confidence = reach, confidence
        numbers: dict[object, int] = {}
        self._hull = np.array([numbers.setdefault(one.hull, len(numbers)) for one in rows], dtype=np.intp)
        self._has_hulls = all(one.hull is not None for one in rows)
        self._hulls = len(numbers)
        self.is_between = bool((self._back & (self._least < self._seen)).any())

    def candidates(self, longest: float) -> NDArray[np.float64]:
        """The hours, up to the longest, at which a share can change, in order."""
        found = self._hours if self.is_between else np.unique(self._seen[self._back])
        return found[found <= longest]

    def followed(self, hours: float) -> int:
        """How many repairs were followed so long."""
        return int(self._many[self._seen >= hours].sum())

    def least(self, hours: float) -> Share:
        """The smallest share that the scans allow: what may have come back by these hours has, as late as it may."""
        last = self._last(hours)
        is_known = self._seen <= hours
        back = self._back & (is_known | (self._least < hours))
        place = np.where(is_known, self._seen_at, np.where(back, last, last + 1))
        return self._share(place, back, last)

    def most(self, hours: float) -> Share:
        """The largest share that the scans allow: what must have come back by these hours has, as soon as it may."""
        last = self._last(hours)
        is_over = self._seen <= hours
        back = self._back & is_over
        place = np.where(is_over, np.where(back, self._least_at, self._seen_at), last + 1)
        return self._share(place, back, last)

    def _last(self, hours: float) -> int:
        """The place of these hours among those on record."""
        return int(np.searchsorted(self._hours, hours))

    def _share(self, place: NDArray[np.intp], back: NDArray[np.bool_], last: int) -> Share:
        """Kaplan and Meier's share at the place ``last``; whatever lies beyond it is still followed there."""
        over = np.bincount(place, weights=self._many, minlength=last + 2)[: last + 1]
        came = np.bincount(place, weights=self._many * back, minlength=last + 2)[: last + 1]
        at_risk = self._many.sum() - (np.cumsum(over) - over)
        stay = at_risk - came
        share = float(np.prod(1 - np.divide(came, at_risk, out=np.zeros_like(came), where=at_risk > 0)))
        with np.errstate(divide="ignore", invalid="ignore"):
            greenwood = np.cumsum(np.where(came > 0, came / (at_risk * stay), 0.0))
            told_each = np.where(came > 0, 1 / stay, 0.0)
        variance = float(greenwood[-1])
        if self._has_hulls and self._hulls > 1 and math.isfinite(variance):
            within = np.minimum(place, last)
            told = np.where(back, told_each[within], 0.0) - greenwood[within]
            by_hull = np.bincount(self._hull, weights=self._many * told)
            variance = max(variance, float((by_hull**2).sum()) * self._hulls / (self._hulls - 1))
        fell = np.flatnonzero(came)
        low, high = self._bounds(share, variance, int(at_risk[-1]), int(came[fell[-1]]) if len(fell) else 0)
        return Share(share, variance, low, high, int(at_risk[-1]), int(came[-1]))

    def _bounds(self, share: float, variance: float, at_risk: int, came_back: int) -> tuple[float, float]:
        apart = min(at_risk, self._hulls) if self._has_hulls else at_risk
        if share >= 1:
            return all_held_bound(apart, confidence=self._confidence), 1.0
        if share <= 0 or math.isinf(variance):
            last = min(came_back, self._hulls) if self._has_hulls else came_back
            return 0.0, 1 - all_held_bound(max(1, last), confidence=self._confidence)
        spread = self._reach * math.sqrt(variance) / abs(math.log(share))
        return share ** math.exp(min(spread, 700.0)), share ** math.exp(-min(spread, 700.0))
