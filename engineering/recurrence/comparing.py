"""Does this repair hold better than that one? The log-rank test, with hulls whose repairs resemble each other."""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Hashable, Iterable, Sequence
from dataclasses import dataclass
from itertools import groupby

from engineering.recurrence.distributions import beta_below, normal_two_sided
from engineering.recurrence.holding import FEWEST_HULLS, FEWEST_REPAIRS, FEWEST_RETURNS, Held, alike_hulls
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

    @property
    def strength(self) -> Strength:
        """What the p-value is worth."""
        return strength_of(self.p_value)

    def sentence(self, first: str, second: str) -> str:
        """The answer for a person; ``first`` and ``second`` name the repairs."""
        chance = f"a difference like this comes by chance {chance_words(self.p_value)} times"
        if not self.strength.says_something:
            known = "Only a weak hint" if self.strength is Strength.WEAK else "No evidence"
            return f"{known} that one holds better than the other: {chance}."
        better = second if self.more_back > 0 else first
        return f"{self.strength.value.capitalize()} that {better} holds better: {chance}."


def compare_holding(first: Iterable[Held], second: Iterable[Held]) -> HoldingComparison | NotEnough:
    """The log-rank test of two sorts of repairs: Σ(d₁ − d·n₁/n) over the hours at which faults came back.

    Its usual variance is hypergeometric. Where hulls are given, that of the hulls' sums is asked as well: each repair's
    δ(z − n₁/n) − Σ(z − n₁ⱼ/nⱼ)dⱼ/nⱼ, summed over a hull and squared, times K/(K − 1), with Student's t of K − 1 degrees
    of freedom, K the number of hulls with equally many repairs; the larger chance of the two is told. Fewer than five
    repairs of either, two returns together, or four such hulls: :class:`NotEnough`.
    Source: Mantel, "Evaluation of Survival Data and Two New Rank Order Statistics", Cancer Chemotherapy Reports 50
    (1966); hulls after Lee, Wei and Amato (1992), both from memory.
    """
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
        p_value = max(p_value, _student_two_sided(more / math.sqrt(squares), alike - 1) if squares > 0 else 1.0)
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


def _student_two_sided(t: float, degrees: float) -> float:
    return beta_below(degrees / 2, 0.5, degrees / (degrees + t * t))
