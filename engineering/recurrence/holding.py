"""How long repairs hold: the product-limit estimate of Kaplan and Meier over engine hours."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from engineering.recurrence.distributions import normal_quantile
from engineering.recurrence.problem import NotEnough, RecurrenceProblem, refuse_unless_confidence, refuse_unless_finite
from engineering.recurrence.rates import zero_event_bound
from engineering.recurrence.wording import hours as hours_words
from engineering.recurrence.wording import percent

FEWEST_REPAIRS = 5
FEWEST_RETURNS = 2
"""Below these a curve would look surer than it is (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Held:
    """Repairs that held ``hours``: up to the hour that the fault came back, or as far as is proven so far."""

    hours: float
    came_back: bool
    repairs: int = 1


@dataclass(frozen=True, slots=True)
class HoldingPoint:
    """The share of repairs still holding after ``hours``; ``low`` and ``high`` bound it at this hour alone."""

    hours: float
    share: float
    low: float
    high: float
    at_risk: int
    came_back: int
    standard_error: float


@dataclass(frozen=True, slots=True)
class HoldingCurve:
    """The share still holding, one point for each hour at which a fault came back.

    ``median_h`` is None where half of the repairs have not come back yet, its bounds where they are not reached.
    """

    points: tuple[HoldingPoint, ...]
    repairs: int
    came_back: int
    longest_h: float
    median_h: float | None
    median_low_h: float | None
    median_high_h: float | None
    confidence: float

    def at(self, hours: float) -> HoldingPoint | None:
        """The step that holds at an hour; None beyond the longest time on record, where nothing is known."""
        if hours > self.longest_h:
            return None
        return next((point for point in reversed(self.points) if point.hours <= hours), self.before_any_return)

    @property
    def before_any_return(self) -> HoldingPoint:
        """All hold, as far as is seen; the lower bound is exact for those still at risk at the first return."""
        at_risk = self.points[0].at_risk
        return HoldingPoint(0.0, 1.0, all_held_bound(at_risk, confidence=self.confidence), 1.0, at_risk, 0, 0.0)

    @property
    def sentence(self) -> str:
        """The answer for a person."""
        counted = f"{self.came_back} of {self.repairs} repairs came back"
        if self.median_h is None:
            last = self.points[-1]
            return (
                f"{counted}. After {hours_words(last.hours)} {percent(last.share)} still hold ({percent(last.low)} to "
                f"{percent(last.high)}, {self.confidence:.0%} sure); half have not come back as far as the record "
                f"goes, {hours_words(self.longest_h)}."
            )
        low = "any time" if self.median_low_h is None else hours_words(self.median_low_h)
        high = "no upper bound yet" if self.median_high_h is None else f"to {hours_words(self.median_high_h)}"
        sure = f"{self.confidence:.0%} sure: from {low}, {high}"
        return f"{counted}. Half of them come back within {hours_words(self.median_h)} ({sure})."


def holding_curve(held: Iterable[Held], *, confidence: float = 0.95) -> HoldingCurve | NotEnough:
    """The product-limit estimate S(t) = Π (1 − dⱼ/nⱼ) over hours, with Greenwood's errors.

    A repair that is proven to an hour still counts at that hour. Bounds are pointwise, by log(−log S), so that they
    stay between 0 and 1; other programs transform otherwise (plain, log) and print other bounds. The median is where S
    falls to 0.5 or below, bounded by where its bounds do. Fewer than five repairs or two returns: :class:`NotEnough`.
    Source: Kaplan and Meier, "Nonparametric Estimation from Incomplete Observations", JASA 53 (1958); Brookmeyer and
    Crowley, "A Confidence Interval for the Median Survival Time", Biometrics 38 (1982), from memory.

    Raises:
        RecurrenceProblem: hours that are negative or not finite, no positive number of repairs, or a confidence out of
            its range.
    """
    refuse_unless_confidence(confidence)
    rows = sorted(held, key=lambda one: one.hours)
    for one in rows:
        refuse_unless_finite(one.hours, "The hours a repair held", field="hours")
        if one.repairs < 1:
            raise RecurrenceProblem("Each row must stand for at least one repair.", field="repairs")
    repairs = sum(one.repairs for one in rows)
    returns = sum(one.repairs for one in rows if one.came_back)
    if repairs < FEWEST_REPAIRS or returns < FEWEST_RETURNS:
        return NotEnough(_too_thin(rows, repairs, returns, confidence))
    points = _points(rows, repairs, normal_quantile(0.5 + confidence / 2))
    return HoldingCurve(
        points=points,
        repairs=repairs,
        came_back=returns,
        longest_h=rows[-1].hours,
        median_h=_first_at_half(points, "share"),
        median_low_h=_first_at_half(points, "low"),
        median_high_h=_first_at_half(points, "high"),
        confidence=confidence,
    )


def _points(rows: Sequence[Held], repairs: int, z: float) -> tuple[HoldingPoint, ...]:
    points: list[HoldingPoint] = []
    share, greenwood, at_risk, index = 1.0, 0.0, repairs, 0
    while index < len(rows):
        hours, back, gone = rows[index].hours, 0, 0
        while index < len(rows) and rows[index].hours == hours:
            gone += rows[index].repairs
            back += rows[index].repairs if rows[index].came_back else 0
            index += 1
        if back:
            share *= 1 - back / at_risk
            greenwood += back / (at_risk * (at_risk - back)) if at_risk > back else math.inf
            low, high = _bounds(share, greenwood, z)
            error = share * math.sqrt(greenwood) if share else 0.0
            points.append(HoldingPoint(hours, share, low, high, at_risk, back, error))
        at_risk -= gone
    return tuple(points)


def all_held_bound(repairs: int, *, confidence: float = 0.95) -> float:
    """The lower bound of the share that holds where all of so many repairs have: (α/2)^(1/n). 0 for no repair.

    Greenwood's error is nothing then, which would look sure. Source: Clopper and Pearson, Biometrika 26 (1934), from
    memory.

    Raises:
        RecurrenceProblem: a confidence out of its range.
    """
    refuse_unless_confidence(confidence)
    return float(((1 - confidence) / 2) ** (1 / repairs)) if repairs > 0 else 0.0


def share_bounds(share: float, greenwood: float, *, confidence: float = 0.95) -> tuple[float, float]:
    """Pointwise bounds of a share by log(−log S), from Greenwood's sum Σ d/(n(n−d)), as a database sums it.

    Raises:
        RecurrenceProblem: a confidence out of its range.
    """
    refuse_unless_confidence(confidence)
    return _bounds(share, greenwood, normal_quantile(0.5 + confidence / 2))


def _bounds(share: float, greenwood: float, z: float) -> tuple[float, float]:
    if share >= 1:
        return 1.0, 1.0
    if share <= 0 or math.isinf(greenwood):
        return 0.0, 0.0
    spread = z * math.sqrt(greenwood) / abs(math.log(share))
    return share ** math.exp(spread), share ** math.exp(-spread)


def _first_at_half(points: Sequence[HoldingPoint], name: str) -> float | None:
    return next((point.hours for point in points if getattr(point, name) <= 0.5 + 1e-12), None)


def _too_thin(rows: Sequence[Held], repairs: int, returns: int, confidence: float) -> str:
    counted = f"{repairs} repair{'' if repairs == 1 else 's'} with known hours, of which {returns} came back"
    said = f"Not enough data for a curve: {counted}; it takes {FEWEST_REPAIRS} with {FEWEST_RETURNS} that came back."
    hours = sum(one.hours * one.repairs for one in rows)
    if repairs and not returns and hours > 0:
        bound = zero_event_bound(hours, confidence=confidence)
        said += (
            f" In {hours_words(hours)} together none came back: if they come back at a steady rate, it is less "
            f"often than once in {hours_words(bound, 3)} ({confidence:.0%} sure)."
        )
    return said
