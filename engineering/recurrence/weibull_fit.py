"""The arithmetic of Weibull's law over many repairs: its likeliest shape and scale, and the error of the shape."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Hashable, Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from engineering.recurrence.events import AT_ZERO_H
from engineering.recurrence.held import Held, alike_hulls


class LifeTimes:
    """Repairs in arrays. Hours of zero count as half a step of the meter."""

    def __init__(self, rows: Sequence[Held]) -> None:
        self.seen = np.maximum([one.hours for one in rows], AT_ZERO_H)
        self._least = np.maximum([one.last_without for one in rows], AT_ZERO_H)
        self._back = np.array([one.came_back for one in rows], dtype=bool)
        self._many = np.array([one.repairs for one in rows], dtype=float)
        self.has_hulls = all(one.hull is not None for one in rows)
        numbers: dict[Hashable, int] = {}
        self._hull = np.array(
            [
                numbers.setdefault(number if one.hull is None else ("hull", one.hull), len(numbers))
                for number, one in enumerate(rows)
            ],
            dtype=np.intp,
        )
        counted: Counter[int] = Counter()
        for hull, one in zip(self._hull.tolist(), rows, strict=True):
            counted[hull] += one.repairs
        self._hulls = len(counted)
        self.alike = alike_hulls(counted.values())
        self.repairs = sum(one.repairs for one in rows)
        self.back = sum(one.repairs for one in rows if one.came_back)

    def placings(self) -> Iterator[NDArray[np.float64]]:
        """The returns as soon as may be, and early ones so with late ones as seen, and the other way round."""
        yield self._least
        back = np.sort(self.seen[self._back])
        for quarter in (1, 2, 3):
            is_early = self.seen < back[len(back) * quarter // 4]
            yield np.where(is_early, self._least, self.seen)
            yield np.where(is_early, self.seen, self._least)

    def fit(self, hours: NDArray[np.float64]) -> tuple[float, float, float] | None:
        """Shape, scale in hours, and the error of ln(shape); None where all came back at one hour."""
        came = hours[self._back]
        if came.min() == came.max():
            return None
        longest = float(hours.max())
        logs = np.log(hours / longest)
        mean = float((logs * self._many)[self._back].sum()) / self.back

        def slope(shape: float) -> float:
            """Σ tᵏ ln t / Σ tᵏ − 1/k − the mean ln t of the returns; it rises with k."""
            weights = np.exp(shape * logs) * self._many
            return float((weights * logs).sum() / weights.sum()) - 1 / shape - mean

        low, high = 1e-3, 1e3
        for _ in range(50):
            middle = math.sqrt(low * high)
            low, high = (middle, high) if slope(middle) < 0 else (low, middle)
        shape = math.sqrt(low * high)
        ln_scale = math.log(longest) + math.log(float((np.exp(shape * logs) * self._many).sum()) / self.back) / shape
        return shape, math.exp(ln_scale), self._error_of_ln_shape(hours, shape, ln_scale)

    def _error_of_ln_shape(self, hours: NDArray[np.float64], shape: float, ln_scale: float) -> float:
        """The standard error of ln(shape), over ln(scale) and ln(shape) together."""
        z = shape * (np.log(hours) - ln_scale)
        e, back = np.exp(z), self._back.astype(float)
        aa = float((self._many * shape**2 * e).sum())
        ab = -float((self._many * shape * (e - back + e * z)).sum())
        bb = -float((self._many * (back * z - e * z * (1 + z))).sum())
        determinant = aa * bb - ab * ab
        variance = aa / determinant
        if self.has_hulls:
            of_scale = np.bincount(self._hull, weights=self._many * shape * (e - back))
            of_shape = np.bincount(self._hull, weights=self._many * (back * (1 + z) - e * z))
            parts = (-ab * of_scale + aa * of_shape) / determinant
            variance = max(variance, float((parts**2).sum()) * self._hulls / (self._hulls - 1))
        return math.sqrt(variance)
