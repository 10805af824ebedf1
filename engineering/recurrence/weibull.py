"""Do repairs fail early or wear out? The Weibull law fitted to how long they hold."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from engineering.recurrence.distributions import normal_quantile, t_quantile
from engineering.recurrence.held import FEWEST_HULLS, Held
from engineering.recurrence.problem import NotEnough, refuse_unless_confidence
from engineering.recurrence.wording import figure

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from engineering.recurrence.weibull_fit import LifeTimes

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
    from engineering.recurrence.weibull_fit import LifeTimes  # numpy is loaded when somebody asks for a law

    rows = list(held)
    back = sum(one.repairs for one in rows if one.came_back)
    if back < FEWEST_FOR_A_SHAPE:
        return NotEnough(f"Not enough data for a shape: {back} came back, and it takes {FEWEST_FOR_A_SHAPE}.")
    times = LifeTimes(rows)
    if times.has_hulls and times.alike < FEWEST_HULLS:
        return NotEnough("Not enough data for a shape: all or most of the repairs are of a few hulls.")
    seen = _fitted(times, times.seen, confidence)
    if isinstance(seen, NotEnough) or all(one.last_without == one.hours for one in rows):
        return seen
    others = [_fitted(times, hours, confidence) for hours in times.placings()]
    fits = [one for one in others if isinstance(one, Weibull)]
    if len(fits) < len(others):
        return NotEnough("Not enough data for a shape: when they came back is only known between two scans.")
    low, high = min(one.shape_low for one in (seen, *fits)), max(one.shape_high for one in (seen, *fits))
    return replace(seen, shape_low=low, shape_high=high, is_between=True)


def _fitted(times: LifeTimes, hours: NDArray[np.float64], confidence: float) -> Weibull | NotEnough:
    """The law of repairs that came back at these hours, or held so far."""
    fit = times.fit(hours)
    if fit is None:
        return NotEnough("Not enough data for a shape: all came back at the same hours.")
    shape, scale, error = fit
    share = 0.5 + confidence / 2
    reach = math.exp(
        min(700.0, error * (t_quantile(share, times.alike - 1) if times.has_hulls else normal_quantile(share)))
    )
    return Weibull(shape, shape / reach, shape * reach, scale, times.repairs, times.back, confidence)
