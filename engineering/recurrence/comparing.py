"""Does this repair hold better than that one? The log-rank test, with hulls whose repairs resemble each other."""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Hashable, Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import groupby

from engineering.recurrence.distributions import normal_two_sided, t_two_sided
from engineering.recurrence.held import FEWEST_HULLS, FEWEST_REPAIRS, FEWEST_RETURNS, Held, alike_hulls, all_held_bound
from engineering.recurrence.holding import share_at
from engineering.recurrence.problem import NotEnough
from engineering.recurrence.strength import Strength, chance_words, strength_of


@dataclass(frozen=True, slots=True)
class HoldingComparison:
    """Two sorts of repairs. ``more_back`` is how many more of the first came back than if both held alike.

    ``chi_square`` is the usual log-rank statistic (one degree of freedom); ``p_value`` is the larger of its own and
    that which allows for hulls, where hulls are known.
    """

    first: int
    second: int
    more_back: float
    chi_square: float
    p_value: float
    hulls: int | None
    at_hours: float | None = None
    """The hours at which the shares are compared, where the test could not be asked."""

    @property
    def strength(self) -> Strength:
        """What the p-value is worth."""
        return strength_of(self.p_value)

    def sentence(self, first: str, second: str) -> str:
        """The answer for a person; ``first`` and ``second`` name the repairs."""
        chance = f"a difference like this comes by chance {chance_words(self.p_value)} times"
        if not self.strength.says_something:
            known = "Only a weak hint" if self.strength is Strength.WEAK else "No evidence"
            if self.at_hours is not None and not self.more_back:
                return f"{known} that one holds better than the other at {self.at_hours:g} h: scans leave it open."
            return f"{known} that one holds better than the other: {chance}."
        better = second if self.more_back > 0 else first
        when = "" if self.at_hours is None else f" at {self.at_hours:g} h"
        return f"{self.strength.value.capitalize()} that {better} holds better{when}: {chance}."


def compare_holding(
    first: Iterable[Held], second: Iterable[Held], *, at_hours: float | None = None
) -> HoldingComparison | NotEnough:
    """The log-rank test of two sorts of repairs: Σ(d₁ − d·n₁/n) over the hours at which faults came back.

    Its usual variance is hypergeometric. Where hulls are given, that of the hulls' sums is asked as well: each repair's
    δ(z − n₁/n) − Σ(z − n₁ⱼ/nⱼ)dⱼ/nⱼ, summed over a hull and squared, times K/(K − 1), with Student's t of K − 1 degrees
    of freedom, K the number of hulls with equally many repairs; the larger chance of the two is told. Where returns are
    only known to lie between two scans, and one sort may have been looked at otherwise than the other, the shares at
    ``at_hours`` are held against each other instead: the chance is twice that of the surest bounds
    (:func:`share_at`) that do not meet (Bonferroni). Fewer than five
    repairs of either, two returns together, or four such hulls: :class:`NotEnough`.
    Source: Mantel, "Evaluation of Survival Data and Two New Rank Order Statistics", Cancer Chemotherapy Reports 50
    (1966); hulls after Lee, Wei and Amato (1992), both from memory.
    """
    firsts, seconds = list(first), list(second)
    told = _compared([one.as_seen for one in firsts], [one.as_seen for one in seconds])
    if isinstance(told, NotEnough) or all(one.last_without == one.hours for one in (*firsts, *seconds)):
        return told
    if at_hours is None:
        return NotEnough("Not enough data to compare: when they came back is only known between two scans.")
    return _between_scans(told, firsts, seconds, at_hours)


def _between_scans(
    told: HoldingComparison, first: Sequence[Held], second: Sequence[Held], hours: float
) -> HoldingComparison | NotEnough:
    """The two shares at some hours, by the surest bounds of both that do not meet."""

    def more_back(confidence: float) -> int | None:
        """1 where the first surely holds worse at these hours, −1 where better, 0 where that is open."""
        one, other = _bounds(first, hours, confidence), _bounds(second, hours, confidence)
        if one is None or other is None:
            return None
        return (one[1] < other[0]) - (one[0] > other[1])

    apart = more_back(0.5)
    if apart is None:
        return NotEnough("Not enough data to compare: too few hulls of one of them, or none followed long enough.")
    if not apart:
        return replace(told, p_value=1.0, more_back=0.0, at_hours=hours)
    low, high = 0.5, 0.9999
    if not more_back(high):
        for _ in range(12):
            middle = 1 - math.sqrt((1 - low) * (1 - high))
            low, high = (middle, high) if more_back(middle) == apart else (low, middle)
        high = low
    return replace(told, p_value=min(1.0, 2 * (1 - high)), more_back=abs(told.more_back) * apart, at_hours=hours)


def _bounds(rows: Sequence[Held], hours: float, confidence: float) -> tuple[float, float] | None:
    """The bounds of the share at some hours; beyond the record it can only be less than it was."""
    if not any(one.came_back for one in rows):
        hulls = {index if one.hull is None else one.hull for index, one in enumerate(rows) if one.hours >= hours}
        return all_held_bound(len(hulls), confidence=confidence), 1.0
    point = share_at(rows, hours, confidence=confidence)
    return None if isinstance(point, NotEnough) else (point.low, point.high)


def _compared(first: Sequence[Held], second: Sequence[Held]) -> HoldingComparison | NotEnough:
    """The test of repairs whose returns were when they were seen."""
    rows = sorted([(one, True) for one in first] + [(one, False) for one in second], key=lambda row: row[0].hours)
    sizes = [sum(one.repairs for one, is_first in rows if is_first is which) for which in (True, False)]
    back = sum(one.repairs for one, _ in rows if one.came_back)
    if min(sizes) < FEWEST_REPAIRS or back < FEWEST_RETURNS:
        return NotEnough(
            f"Not enough data to compare: {sizes[0]} and {sizes[1]} repairs, {back} came back; it takes "
            f"{FEWEST_REPAIRS} of each and {FEWEST_RETURNS} that came back."
        )
    hulls = _hulls(rows)
    alike = alike_hulls(hulls.values()) if hulls else None
    if alike is not None and alike < FEWEST_HULLS:
        return NotEnough("Not enough data to compare: all or most of the repairs are of a few hulls.")
    more, variance, by_hull = _scores(rows, sizes)
    if variance <= 0:
        return NotEnough("Not enough data to compare: no repair of the one was followed while those of the other were.")
    p_value = normal_two_sided(more / math.sqrt(variance))
    if alike is not None:
        squares = sum(score**2 for score in by_hull.values()) * len(hulls) / (len(hulls) - 1)
        p_value = max(p_value, t_two_sided(more / math.sqrt(squares), alike - 1) if squares > 0 else 1.0)
    return HoldingComparison(sizes[0], sizes[1], more, more**2 / variance, p_value, len(hulls) or None)


def _hulls(rows: Sequence[tuple[Held, bool]]) -> Counter[Hashable]:
    counted: Counter[Hashable] = Counter()
    if all(one.hull is not None for one, _ in rows):
        for one, _ in rows:
            counted[one.hull] += one.repairs
    return counted


def _scores(rows: Sequence[tuple[Held, bool]], sizes: Sequence[int]) -> tuple[float, float, dict[Hashable, float]]:
    """How many more of the first came back than expected, its variance, and each hull's part in it."""
    of_first, of_all = sizes[0], sum(sizes)
    more = variance = hazard = weighed = 0.0
    by_hull: dict[Hashable, float] = defaultdict(float)
    for _, together in groupby(rows, key=lambda row: row[0].hours):
        same = list(together)
        back = sum(one.repairs for one, _ in same if one.came_back)
        share = of_first / of_all
        if back:
            more += sum(one.repairs for one, is_first in same if one.came_back and is_first) - back * share
            if of_all > 1:
                variance += back * share * (1 - share) * (of_all - back) / (of_all - 1)
            hazard += back / of_all
            weighed += back / of_all * share
        for one, is_first in same:
            score = (is_first - share if one.came_back else 0.0) - (is_first * hazard - weighed)
            by_hull[one.hull] += one.repairs * score
            of_all -= one.repairs
            of_first -= one.repairs if is_first else 0
    return more, variance, by_hull
