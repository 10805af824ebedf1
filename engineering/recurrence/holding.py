"""How long repairs hold: the product-limit estimate of Kaplan and Meier over engine hours, between scans."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Hashable, Iterable, Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from engineering.plurals import plural
from engineering.recurrence.distributions import normal_quantile, t_quantile
from engineering.recurrence.held import (
    FEWEST_HULLS,
    FEWEST_REPAIRS,
    FEWEST_RETURNS,
    Held,
    alike_hulls,
    all_held_bound,
    refuse_unless_held,
)
from engineering.recurrence.problem import NotEnough, refuse_unless_confidence
from engineering.recurrence.rates import zero_event_bound
from engineering.recurrence.wording import hours as hours_words
from engineering.recurrence.wording import percent

if TYPE_CHECKING:
    from engineering.recurrence.followed import Followed

FEWEST_AT_RISK = 5
"""Where fewer repairs were followed that long, a curve that people see ends (common practice, no source)."""
MOST_POINTS = 120
"""A curve has no more points than paper has room for."""
HALF = 0.5 + 1e-12


@dataclass(frozen=True, slots=True)
class HoldingPoint:
    """The share of repairs still holding after ``hours``; ``low`` and ``high`` bound it at this hour alone.

    It lies between ``least`` and ``most``, which differ where returns are only known to lie between two scans.
    """

    hours: float
    least: float
    most: float
    low: float
    high: float
    at_risk: int
    came_back: int
    standard_error: float

    @property
    def share(self) -> float:
        """The share itself where the hours of every return are known, else the most that it can be."""
        return self.most

    @property
    def words(self) -> str:
        """The share for a person: "80%", or "62% to 80%" where scans leave it open."""
        least, most = percent(self.least), percent(self.most)
        return most if least == most else f"{least} to {most}"

    @property
    def bounds_words(self) -> str:
        """Its bounds for a person."""
        return f"{percent(self.low)} to {percent(self.high)}"


@dataclass(frozen=True, slots=True)
class HoldingCurve:
    """The share still holding, over hours at which it changes.

    ``median_h`` is where at most half can still hold, None where half of the repairs have not surely come back yet;
    ``median_least_h`` is where half of them may have. They are one where the hours of every return are known. The
    bounds are None where they are not reached; a lower one of None means any time.
    """

    points: tuple[HoldingPoint, ...]
    repairs: int
    came_back: int
    longest_h: float
    median_h: float | None
    median_least_h: float | None
    median_low_h: float | None
    median_high_h: float | None
    confidence: float
    hulls: int | None = None
    """How many hulls the repairs are of, where that is known; the bounds then allow that repairs of one hull resemble
    each other."""
    ends_early: bool = False
    """Cut where too few repairs were followed that long; ``longest_h`` is where."""
    is_between: bool = False
    """Whether a return is only known to lie between two scans."""
    _followed: Followed | None = field(default=None, repr=False, compare=False)

    def at(self, hours: float) -> HoldingPoint | None:
        """The share after these very hours; None beyond the longest time on record, where nothing is known."""
        if hours > self.longest_h or self._followed is None:
            return None
        return _point(self._followed, hours)

    @property
    def before_any_return(self) -> HoldingPoint:
        """All hold, as far as is seen; the lower bound is exact for those still at risk at the first return."""
        at_risk = self.points[0].at_risk
        apart = at_risk if self.hulls is None else min(at_risk, self.hulls)
        return HoldingPoint(0.0, 1.0, 1.0, all_held_bound(apart, confidence=self.confidence), 1.0, at_risk, 0, 0.0)

    @property
    def sentence(self) -> str:
        """The answer for a person."""
        of_hulls = "" if self.hulls is None else f", on {self.hulls:,} hulls"
        counted = f"{self.came_back:,} of {self.repairs:,} repairs came back{of_hulls}"
        between = " When they came back is only known between two scans." if self.is_between else ""
        ends = f" Beyond {hours_words(self.longest_h)} too few were followed to say." if self.ends_early else ""
        if self.median_h is None:
            last = self.points[-1]
            # That half of them may have come back sooner is in the share; that they have not is only said where sure.
            most_hold = (
                ""
                if last.least <= HALF
                else f"; up to {hours_words(self.longest_h)}, as far as this goes, more than half of them hold"
            )
            return (
                f"{counted}.{between} After {hours_words(last.hours)} {last.words} of all repairs still hold "
                f"({last.bounds_words}, {self.confidence:.0%} sure){most_hold}.{ends}"
            )
        low = "any time" if self.median_low_h is None else hours_words(self.median_low_h)
        high = "no upper bound yet" if self.median_high_h is None else f"to {hours_words(self.median_high_h)}"
        sure = f"{self.confidence:.0%} sure: from {low}, {high}"
        by = f"by {hours_words(self.median_h)}" + (" at the latest" if self.is_between else "")
        return f"{counted}.{between} Of all repairs, half have come back {by} ({sure}).{ends}"


def holding_curve(
    held: Iterable[Held], *, confidence: float = 0.95, fewest_at_risk: int = 1
) -> HoldingCurve | NotEnough:
    """The product-limit estimate S(t) = Π (1 − dⱼ/nⱼ) over hours, with Greenwood's errors.

    Where returns are only known to lie between two scans, the share lies between the smallest and the largest that any
    hours in between give, and the bounds are the lower one of the smallest and the upper one of the largest. Nothing is
    supposed of when people look, as an estimate for interval-censored data would (Turnbull's supposes that nobody comes
    because the code is back).

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
    "Product-Limit Survival Functions with Correlated Survival Times", Lifetime Data Analysis 1 (1995), from memory;
    bounds for what is only known in part after Manski, *Partial Identification of Probability Distributions* (2003),
    from memory.

    Raises:
        RecurrenceProblem: hours that are negative, not finite or out of order, no positive number of repairs, or a
            confidence out of its range.
    """
    found = _founded(held, confidence, fewest_at_risk)
    if isinstance(found, NotEnough):
        return found
    followed, longest_h = found.followed, found.longest_h
    every = [float(hours) for hours in followed.candidates(longest_h)]
    points = [_point(followed, hours) for hours in _few(every, longest_h)]

    def first_at_half(value: Callable[[HoldingPoint], float], *, is_lower: bool) -> float | None:
        """Where a share falls to half; a lower bound between scans is the hours before, as it falls in between."""
        index = next((index for index, point in enumerate(points) if value(point) <= HALF), None)
        if index is None:
            return None
        floor = points[index - 1].hours if index else -math.inf
        within = [hours for hours in every if floor < hours <= points[index].hours]
        low, high = 0, len(within) - 1
        while low < high:
            middle = (low + high) // 2
            low, high = (low, middle) if value(_point(followed, within[middle])) <= HALF else (middle + 1, high)
        if not (is_lower and followed.is_between):
            return within[low]
        place = every.index(within[low])
        return every[place - 1] or None if place else None

    return HoldingCurve(
        points=tuple(points),
        repairs=found.repairs,
        came_back=found.returns,
        longest_h=longest_h,
        median_h=first_at_half(lambda point: point.most, is_lower=False),
        median_least_h=first_at_half(lambda point: point.least, is_lower=True),
        median_low_h=first_at_half(lambda point: point.low, is_lower=True),
        median_high_h=first_at_half(lambda point: point.high, is_lower=False),
        confidence=confidence,
        hulls=found.hulls or None,
        ends_early=found.is_cut,
        is_between=followed.is_between,
        _followed=followed,
    )


@dataclass(frozen=True, slots=True)
class _Founded:
    """Repairs that are enough for a share."""

    followed: Followed
    repairs: int
    returns: int
    hulls: int
    longest_h: float
    is_cut: bool


def share_at(held: Iterable[Held], hours: float, *, confidence: float = 0.95) -> HoldingPoint | NotEnough:
    """The share after some hours alone, as :func:`holding_curve` has it.

    Beyond the record its lower bound is 0 and its upper one that of the last hours, as a share only falls.

    Raises:
        RecurrenceProblem: as :func:`holding_curve`.
    """
    found = _founded(held, confidence, 1)
    if isinstance(found, NotEnough):
        return found
    point = _point(found.followed, min(hours, found.longest_h))
    return point if hours <= found.longest_h else replace(point, hours=hours, least=0.0, low=0.0)


def _founded(held: Iterable[Held], confidence: float, fewest: int) -> _Founded | NotEnough:
    refuse_unless_confidence(confidence)
    rows = sorted(held, key=lambda one: one.hours)
    refuse_unless_held(rows)
    repairs = sum(one.repairs for one in rows)
    returns = sum(one.repairs for one in rows if one.came_back)
    if repairs < FEWEST_REPAIRS or returns < FEWEST_RETURNS:
        return NotEnough(_too_thin(rows, repairs, returns, confidence))
    hulls = _hulls(rows)
    alike = alike_hulls(hulls.values()) if hulls else None
    if alike is not None and alike < FEWEST_HULLS:
        return NotEnough(
            f"Not enough data for a curve: {returns} of {repairs} repairs came back, but all or most are of "
            f"{len(hulls)} {plural(len(hulls), 'hull')}, which says little of others."
        )
    reach = normal_quantile(0.5 + confidence / 2) if alike is None else t_quantile(0.5 + confidence / 2, alike - 1)
    longest_h, is_cut = _longest(rows, fewest)
    if not any(one.came_back and one.hours <= longest_h for one in rows):
        return NotEnough(
            f"Not enough data for a curve: {returns} of {repairs} repairs came back, all of them after hours to which "
            f"fewer than {fewest} repairs were followed."
        )
    from engineering.recurrence.followed import Followed  # numpy is loaded when somebody asks for a curve

    return _Founded(Followed(rows, reach=reach, confidence=confidence), repairs, returns, len(hulls), longest_h, is_cut)


def _few(hours: Sequence[float], longest: float) -> Sequence[float]:
    """Of hours that would fall on one place of the paper, the last."""
    return sorted({int(one / max(longest, 1.0) * MOST_POINTS): one for one in hours}.values())


def _point(followed: Followed, hours: float) -> HoldingPoint:
    most = followed.most(hours)
    least = followed.least(hours) if followed.is_between else most
    error = most.share * math.sqrt(most.variance) if most.share else 0.0
    return HoldingPoint(hours, least.share, most.share, least.low, most.high, least.at_risk, most.came_back, error)


def _hulls(rows: Sequence[Held]) -> Counter[Hashable]:
    """How many repairs each hull has; empty where hulls are not given for all."""
    if any(one.hull is None for one in rows):
        return Counter()
    counted: Counter[Hashable] = Counter()
    for one in rows:
        counted[one.hull] += one.repairs
    return counted


def _longest(rows: Sequence[Held], fewest: int) -> tuple[float, bool]:
    """The hours to which at least so many repairs were followed, and whether some were followed further."""
    followed = 0
    for one in reversed(rows):
        followed += one.repairs
        if followed >= fewest:
            return one.hours, one.hours < rows[-1].hours
    return rows[0].hours, len(rows) > 1


def _too_thin(rows: Sequence[Held], repairs: int, returns: int, confidence: float) -> str:
    counted = f"{repairs} {plural(repairs, 'repair')}, of which {returns} came back"
    said = f"Not enough data for a curve: {counted}; it takes {FEWEST_REPAIRS} with {FEWEST_RETURNS} that came back."
    hours = sum(one.hours * one.repairs for one in rows)
    if repairs and not returns and hours > 0:
        bound = zero_event_bound(hours, confidence=confidence)
        said += (
            f" In {hours_words(hours)} together none came back: if they come back at a steady rate, it is less "
            f"often than once in {hours_words(bound, 3)} ({confidence:.0%} sure, one-sided)."
        )
    return said
