"""How long repairs hold: the product-limit estimate of Kaplan and Meier over engine hours."""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Hashable, Iterable, Sequence
from dataclasses import dataclass
from itertools import groupby

from engineering.recurrence.distributions import normal_quantile, t_quantile
from engineering.recurrence.problem import NotEnough, RecurrenceProblem, refuse_unless_confidence, refuse_unless_finite
from engineering.recurrence.rates import zero_event_bound
from engineering.recurrence.wording import hours as hours_words
from engineering.recurrence.wording import percent

FEWEST_REPAIRS = 5
FEWEST_RETURNS = 2
"""Below these a curve would look surer than it is (common practice, no source)."""
FEWEST_HULLS = 4.0
"""Repairs of fewer hulls, counted as if each had equally many, say too little of the others for a curve."""
FEWEST_AT_RISK = 5
"""Where fewer repairs were followed that long, a curve that people see ends (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Held:
    """Repairs that held ``hours``: up to the hour that the fault came back, or as far as is proven so far.

    ``hull`` is whatever tells the repairs of one hull from those of another; None for a hull of its own.
    """

    hours: float
    came_back: bool
    repairs: int = 1
    hull: Hashable | None = None


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
    hulls: int | None = None
    """How many hulls the repairs are of, where that is known; the bounds then allow that repairs of one hull resemble
    each other."""
    ends_early: bool = False
    """Cut where too few repairs were followed that long; ``longest_h`` is where."""

    def at(self, hours: float) -> HoldingPoint | None:
        """The step that holds at an hour; None beyond the longest time on record, where nothing is known."""
        if hours > self.longest_h:
            return None
        return next((point for point in reversed(self.points) if point.hours <= hours), self.before_any_return)

    @property
    def before_any_return(self) -> HoldingPoint:
        """All hold, as far as is seen; the lower bound is exact for those still at risk at the first return."""
        at_risk = self.points[0].at_risk
        apart = at_risk if self.hulls is None else min(at_risk, self.hulls)
        return HoldingPoint(0.0, 1.0, all_held_bound(apart, confidence=self.confidence), 1.0, at_risk, 0, 0.0)

    @property
    def sentence(self) -> str:
        """The answer for a person."""
        of_hulls = "" if self.hulls is None else f", on {self.hulls:,} hulls"
        counted = f"{self.came_back:,} of {self.repairs:,} repairs came back{of_hulls}"
        ends = f" Beyond {hours_words(self.longest_h)} too few were followed to say." if self.ends_early else ""
        if self.median_h is None:
            last = self.points[-1]
            return (
                f"{counted}. After {hours_words(last.hours)} {percent(last.share)} of all repairs still hold "
                f"({percent(last.low)} to {percent(last.high)}, {self.confidence:.0%} sure); up to "
                f"{hours_words(self.longest_h)}, as far as this goes, more than half of them hold.{ends}"
            )
        low = "any time" if self.median_low_h is None else hours_words(self.median_low_h)
        high = "no upper bound yet" if self.median_high_h is None else f"to {hours_words(self.median_high_h)}"
        sure = f"{self.confidence:.0%} sure: from {low}, {high}"
        return f"{counted}. Of all repairs, half have come back by {hours_words(self.median_h)} ({sure}).{ends}"


def holding_curve(
    held: Iterable[Held], *, confidence: float = 0.95, fewest_at_risk: int = 1
) -> HoldingCurve | NotEnough:
    """The product-limit estimate S(t) = Π (1 − dⱼ/nⱼ) over hours, with Greenwood's errors.

    Where hulls are given, repairs of one hull may resemble each other: the error of ln S is then the larger of
    Greenwood's and that of the hulls' influences, Σ over the hull of [back/(n − d) − Σ dⱼ/(nⱼ(nⱼ − dⱼ))], times
    K/(K − 1), with Student's t of K − 1 degrees of freedom, K the number of hulls with equally many repairs that these
    come to; fewer than four of those: :class:`NotEnough`. With ``fewest_at_risk`` the curve ends where fewer were
    followed.

    A repair that is proven to an hour still counts at that hour. Bounds are pointwise, by log(−log S), so that they
    stay between 0 and 1; other programs transform otherwise (plain, log) and print other bounds. The median is where S
    falls to 0.5 or below, bounded by where its bounds do. Fewer than five repairs or two returns: :class:`NotEnough`.
    Coverage is measured in benchmarks/README.md.
    Source: Kaplan and Meier, "Nonparametric Estimation from Incomplete Observations", JASA 53 (1958); Brookmeyer and
    Crowley, "A Confidence Interval for the Median Survival Time", Biometrics 38 (1982), from memory; Williams,
    "Product-Limit Survival Functions with Correlated Survival Times", Lifetime Data Analysis 1 (1995), from memory.

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
    hulls = _hulls(rows)
    alike = alike_hulls(hulls.values()) if hulls else None
    if alike is not None and alike < FEWEST_HULLS:
        return NotEnough(
            f"Not enough data for a curve: {returns} of {repairs} repairs came back, but all or most are of "
            f"{len(hulls)} hull{'' if len(hulls) == 1 else 's'}, which says little of others."
        )
    reach = normal_quantile(0.5 + confidence / 2) if alike is None else t_quantile(0.5 + confidence / 2, alike - 1)
    longest_h, is_cut = _longest(rows, fewest_at_risk)
    points = tuple(point for point in _points(rows, repairs, reach, hulls) if point.hours <= longest_h)
    if not points:
        return NotEnough(
            f"Not enough data for a curve: {returns} of {repairs} repairs came back, all of them after hours to which "
            f"fewer than {fewest_at_risk} repairs were followed."
        )
    return HoldingCurve(
        points=points,
        repairs=repairs,
        came_back=returns,
        longest_h=longest_h,
        median_h=_first_at_half(points, "share"),
        median_low_h=_first_at_half(points, "low"),
        median_high_h=_first_at_half(points, "high"),
        confidence=confidence,
        hulls=len(hulls) or None,
        ends_early=is_cut,
    )


def _hulls(rows: Sequence[Held]) -> Counter[Hashable]:
    """How many repairs each hull has; empty where hulls are not given for all."""
    if any(one.hull is None for one in rows):
        return Counter()
    counted: Counter[Hashable] = Counter()
    for one in rows:
        counted[one.hull] += one.repairs
    return counted


def alike_hulls(repairs: Iterable[int]) -> float:
    """To how many hulls with equally many repairs these come."""
    counts = list(repairs)
    return sum(counts) ** 2 / sum(count * count for count in counts)


def _longest(rows: Sequence[Held], fewest: int) -> tuple[float, bool]:
    """The hours to which at least so many repairs were followed, and whether some were followed further."""
    followed = 0
    for one in reversed(rows):
        followed += one.repairs
        if followed >= fewest:
            return one.hours, one.hours < rows[-1].hours
    return rows[0].hours, len(rows) > 1


class _Influences:
    """The sum over hulls of the squares of their influences on ln S, kept while the hours go by.

    A hull's influence at an hour is ``told − G·left``: ``told`` of its repairs that are over by then, ``left`` those
    still followed, and G Greenwood's sum so far.
    """

    def __init__(self, hulls: Counter[Hashable]) -> None:
        self._told: dict[Hashable, float] = defaultdict(float)
        self._left = dict(hulls)
        self._told_squared = self._told_left = 0.0
        self._left_squared = float(sum(count * count for count in hulls.values()))

    def over(self, hull: Hashable, repairs: int, told_each: float) -> None:
        """So many repairs of a hull are over; each has told so much."""
        told, left = self._told[hull], self._left[hull]
        now_told, now_left = told + repairs * told_each, left - repairs
        self._told_squared += now_told**2 - told**2
        self._told_left += now_told * now_left - told * left
        self._left_squared += now_left**2 - left**2
        self._told[hull], self._left[hull] = now_told, now_left

    def squares(self, greenwood: float) -> float:
        """The sum of squares where Greenwood's sum is so much."""
        return max(0.0, self._told_squared - 2 * greenwood * self._told_left + greenwood**2 * self._left_squared)


def _points(rows: Sequence[Held], repairs: int, reach: float, hulls: Counter[Hashable]) -> tuple[HoldingPoint, ...]:
    points: list[HoldingPoint] = []
    share, greenwood, at_risk = 1.0, 0.0, repairs
    influences = _Influences(hulls)
    inflated = len(hulls) / (len(hulls) - 1) if len(hulls) > 1 else 1.0
    for hours, together in groupby(rows, key=lambda one: one.hours):
        same = list(together)
        back = sum(one.repairs for one in same if one.came_back)
        if back:
            share *= 1 - back / at_risk
            greenwood += back / (at_risk * (at_risk - back)) if at_risk > back else math.inf
        if hulls and at_risk > back:
            for one in same:
                told = (1 / (at_risk - back) if one.came_back else 0.0) - greenwood
                influences.over(one.hull, one.repairs, told)
        if back:
            variance = max(greenwood, influences.squares(greenwood) * inflated) if hulls else greenwood
            low, high = _bounds(share, variance, reach)
            error = share * math.sqrt(variance) if share else 0.0
            points.append(HoldingPoint(hours, share, low, high, at_risk, back, error))
        at_risk -= sum(one.repairs for one in same)
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
            f"often than once in {hours_words(bound, 3)} ({confidence:.0%} sure, one-sided)."
        )
    return said
