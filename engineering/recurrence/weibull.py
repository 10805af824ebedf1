"""Do repairs fail early or wear out? The Weibull law fitted to how long they hold."""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Hashable, Iterable, Sequence
from dataclasses import dataclass, replace

from engineering.recurrence.distributions import normal_quantile, t_quantile
from engineering.recurrence.events import AT_ZERO_H
from engineering.recurrence.held import FEWEST_HULLS, Held, alike_hulls
from engineering.recurrence.problem import NotEnough, refuse_unless_confidence
from engineering.recurrence.wording import figure

FEWEST_FOR_A_SHAPE = 8
"""With fewer returns the shape says hardly anything, and its bounds hold less often than they say (measured)."""


@dataclass(frozen=True, slots=True)
class Weibull:
    """Share still holding t hours: exp(−(t/scale)^shape). Shape below 1: those that fail do so early.

    ``shape`` and ``scale_h`` are those of the hours at which returns were seen; where these are only known to lie
    between two scans, ``is_between``, and the bounds allow for it.
    """

    shape: float
    shape_low: float
    shape_high: float
    scale_h: float
    repairs: int
    came_back: int
    confidence: float
    is_between: bool = False

    @property
    def sentence(self) -> str:
        """The answer for a person."""
        bounds = f"{figure(self.shape_low, 2)} to {figure(self.shape_high, 2)}"
        bounds = f"shape {bounds}" if self.is_between else f"shape {figure(self.shape, 2)}, {bounds}"
        sure = f"({bounds}, {self.confidence:.0%} sure)"
        if self.shape_high < 1:
            return f"Those that come back tend to do so early: the longer one has held, the longer it goes on {sure}."
        if self.shape_low > 1:
            return f"They wear out: the longer one has held, the sooner it comes back {sure}."
        return f"Whether they fail early or wear out cannot be told {sure}."


def fit_weibull(held: Iterable[Held], *, confidence: float = 0.95) -> Weibull | NotEnough:
    """The Weibull law of how long repairs hold, by maximum likelihood; those not back yet count as held so far.

    Bounds of the shape by ln(shape) ± the larger of the information's error and that of the hulls' summed scores
    (times K/(K − 1), Student's t of K − 1 degrees of freedom), where hulls are given. Hours of zero count as half a
    step of the meter. Where returns are only known to lie between two scans, the law is fitted to them as seen, as soon
    as may be, and with the early ones of them the one way and the late ones the other, which is what bends a shape
    most; the bounds are the outermost of all. Fewer than eight returns, or four hulls with equally many repairs:
    :class:`NotEnough`.
    Source: NIST/SEMATECH e-Handbook 8.4.1.2 and 8.4.1.3 (maximum likelihood with censoring); the error over hulls after
    Huber (1967) and White (1982), from memory. Coverage is measured in benchmarks/README.md.

    Raises:
        RecurrenceProblem: a confidence out of its range.
    """
    refuse_unless_confidence(confidence)
    rows = list(held)
    seen = _fitted([one.as_seen for one in rows], confidence)
    if isinstance(seen, NotEnough) or all(one.last_without == one.hours for one in rows):
        return seen
    others = [_fitted(placed, confidence) for placed in _placings(rows)]
    fits = [one for one in others if isinstance(one, Weibull)]
    if len(fits) < len(others):
        return NotEnough("Not enough data for a shape: when they came back is only known between two scans.")
    low, high = min(one.shape_low for one in (seen, *fits)), max(one.shape_high for one in (seen, *fits))
    return replace(seen, shape_low=low, shape_high=high, is_between=True)


def _placings(rows: Sequence[Held]) -> list[list[Held]]:
    """The returns as soon as may be, and early ones so with late ones as seen, and the other way round."""
    back = sorted(one.hours for one in rows if one.came_back)
    placed = [[one.at_the_least for one in rows]]
    for quarter in (1, 2, 3):
        border = back[len(back) * quarter // 4]
        placed.append([one.at_the_least if one.hours < border else one.as_seen for one in rows])
        placed.append([one.as_seen if one.hours < border else one.at_the_least for one in rows])
    return placed


def _fitted(rows: Sequence[Held], confidence: float) -> Weibull | NotEnough:
    """The law of repairs whose returns were when they were seen."""
    back = sum(one.repairs for one in rows if one.came_back)
    repairs = sum(one.repairs for one in rows)
    if back < FEWEST_FOR_A_SHAPE or len({_hours(one) for one in rows if one.came_back}) < 2:
        return NotEnough(f"Not enough data for a shape: {back} came back, and it takes {FEWEST_FOR_A_SHAPE}.")
    by_hull: dict[Hashable, int] = defaultdict(int)
    for number, one in enumerate(rows):
        by_hull[number if one.hull is None else one.hull] += one.repairs
    has_hulls = all(one.hull is not None for one in rows)
    alike = alike_hulls(by_hull.values())
    if has_hulls and alike < FEWEST_HULLS:
        return NotEnough("Not enough data for a shape: all or most of the repairs are of a few hulls.")
    shape = _shape(rows, back)
    longest = max(one.hours for one in rows)
    scale = longest * (sum(one.repairs * (_hours(one) / longest) ** shape for one in rows) / back) ** (1 / shape)
    error = _error_of_ln_shape(rows, shape, math.log(scale), has_hulls=has_hulls, hulls=len(by_hull))
    share = 0.5 + confidence / 2
    reach = math.exp(error * (t_quantile(share, alike - 1) if has_hulls else normal_quantile(share)))
    return Weibull(shape, shape / reach, shape * reach, scale, repairs, back, confidence)


def _hours(one: Held) -> float:
    return max(one.hours, AT_ZERO_H)


def _shape(rows: Sequence[Held], back: int) -> float:
    """Where Σ tᵏ ln t / Σ tᵏ − 1/k − the mean ln t of the returns is zero; it rises with k."""
    longest = max(_hours(one) for one in rows)
    followed: Counter[float] = Counter()
    for one in rows:
        followed[_hours(one)] += one.repairs
    logs = [(math.log(hours / longest), many) for hours, many in followed.items()]
    mean = sum(math.log(_hours(one) / longest) * one.repairs for one in rows if one.came_back) / back

    def slope(shape: float) -> float:
        weights = [(math.exp(shape * log) * many, log) for log, many in logs]
        return sum(w * log for w, log in weights) / sum(w for w, _ in weights) - 1 / shape - mean

    low, high = 1e-3, 1e3
    for _ in range(50):
        middle = math.sqrt(low * high)
        low, high = (middle, high) if slope(middle) < 0 else (low, middle)
    return math.sqrt(low * high)


def _error_of_ln_shape(rows: Sequence[Held], shape: float, ln_scale: float, *, has_hulls: bool, hulls: int) -> float:
    """The standard error of ln(shape), over ln(scale) and ln(shape) together."""
    aa = ab = bb = 0.0
    scores: dict[Hashable, list[float]] = defaultdict(lambda: [0.0, 0.0])
    for one in rows:
        z = shape * (math.log(_hours(one)) - ln_scale)
        e, back = math.exp(z), float(one.came_back)
        aa += one.repairs * shape**2 * e
        ab -= one.repairs * shape * (e - back + e * z)
        bb -= one.repairs * (back * z - e * z * (1 + z))
        scores[one.hull][0] += one.repairs * shape * (e - back)
        scores[one.hull][1] += one.repairs * (back * (1 + z) - e * z)
    determinant = aa * bb - ab * ab
    variance = aa / determinant
    if has_hulls:
        over = sum(((-ab * sa + aa * sb) / determinant) ** 2 for sa, sb in scores.values()) * hulls / (hulls - 1)
        variance = max(variance, over)
    return math.sqrt(variance)
