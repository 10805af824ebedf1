"""Are events coming more often? The Laplace test, the test of MIL-HDBK-189, and that of reverse arrangements.

The first two take one record or many. With many, each is compared with its own window, so hulls may differ in how often
they have the event: only the trend is pooled.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Callable, Hashable, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from itertools import pairwise

from engineering.recurrence.distributions import (
    chi_square_above,
    chi_square_below,
    chi_square_quantile,
    normal_below,
    normal_two_sided,
    t_quantile,
    t_two_sided,
)
from engineering.recurrence.events import (
    AT_ZERO_H,
    FEWEST_FOR_A_TREND,
    EventRecord,
    first_of_each,
    occasion_words,
    too_thin_for_a_trend,
)
from engineering.recurrence.held import FEWEST_HULLS, alike_hulls
from engineering.recurrence.problem import NotEnough
from engineering.recurrence.strength import Strength, chance_words, strength_of
from engineering.trend.orders import orders_by_inversions

MOST_FOR_EXACT_ORDERS = 12


class Direction(StrEnum):
    """Which way the events go."""

    MORE_OFTEN = "more often"
    LESS_OFTEN = "less often"
    STEADY = "neither more nor less often"


@dataclass(frozen=True, slots=True)
class TrendTest:
    """A test's answer. ``statistic`` has no unit; ``events`` are those that it used.

    ``p_one_sided`` is for the direction that the record leans to, ``p_value`` two-sided.
    """

    name: str
    statistic: float
    p_value: float
    p_one_sided: float
    leans: Direction
    events: int
    occasions: int | None = None
    """On how many occasions they came, where some came less than an hour apart; None where none did."""

    @property
    def counted(self) -> str:
        """What it used: "5 events", "5 events on 4 occasions"."""
        return f"{self.events} events" + (f" on {occasion_words(self.occasions)}" if self.occasions else "")

    @property
    def strength(self) -> Strength:
        """What the two-sided p-value is worth."""
        return strength_of(self.p_value)

    @property
    def direction(self) -> Direction:
        """The direction, where the evidence says something; else steady, as far as is known."""
        return self.leans if self.strength.says_something else Direction.STEADY

    @property
    def sentence(self) -> str:
        """The answer for a person."""
        chance = f"such a record comes by chance {chance_words(self.p_value)} times"
        if self.strength is Strength.NONE:
            return f"No trend is seen in the {self.counted} ({chance})."
        kind = self.strength.value.capitalize()
        return f"{kind} that it comes {self.leans} ({chance}, from {self.counted})."

    @property
    def chance_sentence(self) -> str:
        """What the test found, without a verdict: that is given once, where several tests are weighed together."""
        return f"such a record comes by chance {chance_words(self.p_value)} times, from {self.counted}."

    @property
    def seen_sentence(self) -> str:
        """The same where events are only known to lie between two looks, and others would say something else."""
        if self.strength is Strength.NONE:
            return self.sentence
        said = self.sentence.replace("it comes", "it is seen").removesuffix(".")
        return (
            f"{said}. Each time it came back somewhere between two scans, so that it may only have been looked at so."
        )


@dataclass(frozen=True, slots=True)
class HullSquares:
    """What a test's sum is made of: how many hulls, how many count alike, and the squares of the hulls' parts.

    A part is held against what the whole sum leaves to that hull, by its share of what the sum is expected to vary.
    """

    hulls: int
    squares: float
    alike: float

    def p_value(self, total: float) -> float:
        """The two-sided chance of such a sum, Student's t of ``alike`` − 1 degrees of freedom."""
        squares = self.squares * self.hulls / (self.hulls - 1)
        return t_two_sided(total / math.sqrt(squares), self.alike - 1) if squares > 0 else 0.0

    def reach(self, confidence: float) -> float:
        """The factor to the bounds of a value whose logarithm has these parts."""
        squares = self.squares * self.hulls / (self.hulls - 1)
        return math.exp(min(700.0, t_quantile(0.5 + confidence / 2, self.alike - 1) * math.sqrt(squares)))


def over_hulls(
    records: Sequence[EventRecord], part: Callable[[EventRecord], tuple[float, float]]
) -> HullSquares | NotEnough | None:
    """The parts of a test's sum by hull, each with what it is expected to vary; None where hulls are not told apart."""
    if len(records) < 2 or any(record.hull is None for record in records):
        return None
    parts: dict[Hashable, float] = defaultdict(float)
    weights: dict[Hashable, float] = defaultdict(float)
    for record in records:
        if record.usable:
            own, weight = part(record)
            parts[record.hull] += own
            weights[record.hull] += weight
    alike = alike_hulls(weights.values())
    if alike < FEWEST_HULLS:
        return NotEnough(few_hulls(len(parts)))
    each = sum(parts.values()) / sum(weights.values())
    return HullSquares(len(parts), sum((own - each * weights[hull]) ** 2 for hull, own in parts.items()), alike)


def few_hulls(hulls: int) -> str:
    """Why a trend over hulls is not told."""
    of = "one hull" if hulls == 1 else f"{hulls} hulls"
    return f"Not enough data for a trend over hulls: all or most of them are of {of}, which says little of others."


def held_to_occasions(
    test: TrendTest | NotEnough,
    records: Sequence[EventRecord],
    of: Callable[[Sequence[EventRecord]], TrendTest | NotEnough],
) -> TrendTest | NotEnough:
    """The answer of a test, with the larger of its chance and that of the record in which each occasion is one event.

    Where the two lean to different sides, nothing is found. The statistic stays that of the formula, over all events.
    """
    usable, occasions = sum(len(one.usable) for one in records), sum(len(one.occasions) for one in records)
    if isinstance(test, NotEnough) or usable == occasions:
        return test
    apart = of([EventRecord(one.occasions, one.observed_h, hull=one.hull) for one in records])
    if isinstance(apart, NotEnough):
        return apart
    if apart.leans is not test.leans:
        return replace(test, p_value=1.0, p_one_sided=0.5, occasions=occasions)
    return replace(
        test,
        p_value=max(test.p_value, apart.p_value),
        p_one_sided=max(test.p_one_sided, apart.p_one_sided),
        occasions=occasions,
    )


def laplace_test(records: Sequence[EventRecord]) -> TrendTest | NotEnough:
    """The Laplace test: where in the window the events lie on average, as a standard normal U (no unit).

    U = Σ(tᵢ − T/2) / √(Σ T²/12); above zero more often. Failure-truncated records drop their last event.
    Where hulls are given, events of one hull may hang together: the sum is also held against the squares of the hulls'
    parts, each less its share of the sum (times K/(K − 1), Student's t of as many degrees as hulls that count alike
    less one), and the larger chance counts. Fewer than four usable events, or four such hulls: :class:`NotEnough`.
    Events less than an hour apart: :func:`held_to_occasions`.
    Source: NIST/SEMATECH e-Handbook of Statistical Methods 8.2.3.4; pooled over records by its mean and variance.
    """
    thin = too_thin_for_a_trend(records)
    if thin is not None:
        return thin
    offset = variance = 0.0
    for record in records:
        offset += sum(hours - record.observed_h / 2 for hours in record.usable)
        variance += len(record.usable) * record.observed_h**2 / 12
    over = over_hulls(
        records,
        lambda one: (sum(hours - one.observed_h / 2 for hours in one.usable), len(one.usable) * one.observed_h**2 / 12),
    )
    if isinstance(over, NotEnough):
        return over
    test = laplace_of_sums(offset, variance, sum(len(record.usable) for record in records), over)
    return held_to_occasions(test, records, laplace_test)


def laplace_of_sums(offset: float, variance: float, events: int, over: HullSquares | None = None) -> TrendTest:
    """The same from Σ(tᵢ − T/2) in hours and Σ T²/12 in hours², as a database sums them. ``variance`` above zero."""
    u = offset / math.sqrt(variance)
    p_value = max(normal_two_sided(u), over.p_value(offset) if over is not None else 0.0)
    leans = Direction.MORE_OFTEN if u > 0 else Direction.LESS_OFTEN if u < 0 else Direction.STEADY
    return TrendTest("Laplace test", u, p_value, max(p_value / 2, normal_below(-abs(u))), leans, events)


def military_handbook_test(records: Sequence[EventRecord]) -> TrendTest | NotEnough:
    """The test of MIL-HDBK-189: χ² = 2 Σ ln(T/tᵢ) with two degrees of freedom for each usable event (no unit).

    Large: less often. Best where the rate follows a power of the hours. Hulls count as in :func:`laplace_test`, by
    their parts Σ(ln(T/tᵢ) − 1).
    Fewer than four usable events, or four such hulls: :class:`NotEnough`. Events less than an hour apart:
    :func:`held_to_occasions`.
    Source: NIST/SEMATECH e-Handbook 8.2.3.4, after MIL-HDBK-189 (1981).
    """
    thin = too_thin_for_a_trend(records)
    if thin is not None:
        return thin
    statistic = 2 * log_ratios(records)
    degrees = 2 * sum(len(record.usable) for record in records)
    above, below = chi_square_above(statistic, degrees), chi_square_below(statistic, degrees)
    leans = Direction.LESS_OFTEN if above < below else Direction.MORE_OFTEN
    one_sided = min(above, below)
    p_value = min(1.0, 2 * one_sided)
    over = over_hulls(records, lambda one: (log_ratios([one]) - len(one.usable), len(one.usable)))
    if isinstance(over, NotEnough):
        return over
    if over is not None:
        p_value = max(p_value, over.p_value((statistic - degrees) / 2))
    test = TrendTest("MIL-HDBK-189 test", statistic, p_value, max(one_sided, p_value / 2), leans, degrees // 2)
    return held_to_occasions(test, records, military_handbook_test)


def weigh_together(laplace: TrendTest, military: TrendTest) -> tuple[Strength, Direction]:
    """What two tests say together, and which way it leans: the smaller p-value counts twice, since two were asked.

    Source: Bonferroni's inequality.
    """
    telling = min(laplace, military, key=lambda test: test.p_value)
    return strength_of(min(1.0, 2 * telling.p_value)), telling.leans


def reverse_arrangements_test(record: EventRecord) -> TrendTest | NotEnough:
    """Of all pairs of times between events, how many grow: the statistic is that count, R (no unit).

    Many: less often. It supposes no law, uses only the order of the times between, and not the time since the last
    event. Up to twelve events p is counted exactly, beyond them z = (R − r(r−1)/4 + 0.5)/√((2r+5)(r−1)r/72).
    Equal times between neither grow nor shrink, which makes p the larger. Fewer than four events: :class:`NotEnough`.
    Source: NIST/SEMATECH e-Handbook 8.2.3.4.
    """
    occasions = first_of_each(record.event_hours)
    if len(occasions) < FEWEST_FOR_A_TREND:
        return too_thin_for_a_trend([record]) or NotEnough("Not enough data for a trend.")
    found = _reverse_arrangements(record)
    if len(occasions) == len(record.event_hours):
        return found
    apart = _reverse_arrangements(EventRecord(occasions, record.observed_h))
    if apart.leans is not found.leans:
        return replace(found, p_value=1.0, p_one_sided=0.5, occasions=len(occasions))
    return replace(
        found,
        p_value=max(found.p_value, apart.p_value),
        p_one_sided=max(found.p_one_sided, apart.p_one_sided),
        occasions=len(occasions),
    )


def _reverse_arrangements(record: EventRecord) -> TrendTest:
    between = [later - earlier for earlier, later in pairwise((0.0, *record.event_hours))]
    count = len(between)
    growing = sum(later > earlier for index, later in enumerate(between) for earlier in between[:index])
    shrinking = sum(later < earlier for index, later in enumerate(between) for earlier in between[:index])
    many = max(growing, shrinking)
    if count <= MOST_FOR_EXACT_ORDERS:
        one_sided = sum(orders_by_inversions(count)[many:]) / math.factorial(count)
    else:
        one_sided = normal_below(-reverse_arrangements_z(many, count))
    leans = Direction.LESS_OFTEN if growing >= shrinking else Direction.MORE_OFTEN
    return TrendTest(
        "Reverse arrangements", float(growing), min(1.0, 2 * one_sided), one_sided, leans, len(record.event_hours)
    )


def reverse_arrangements_z(growing: int, events: int) -> float:
    """NIST's z of so many growing pairs among the times between so many events (no unit)."""
    return (growing - events * (events - 1) / 4 + 0.5) / math.sqrt((2 * events + 5) * (events - 1) * events / 72)


def log_ratios(records: Sequence[EventRecord]) -> float:
    """Σ ln(T/tᵢ) over all usable events."""
    return sum(
        math.log(max(record.observed_h, AT_ZERO_H) / max(hours, AT_ZERO_H))
        for record in records
        for hours in record.usable
    )


@dataclass(frozen=True, slots=True)
class Seeable:
    """The smallest trends that the MIL-HDBK-189 test shows 4 times in 5, as events of one half of the hours per other.

    ``more`` is for the second half against the first, ``less`` for the first against the second (no unit, above 1).
    """

    events: int
    more: float
    less: float

    @property
    def sentence(self) -> str:
        """The same for a person."""
        return (
            f"With {self.events} of them, a trend is seen 4 times in 5 only from {_times(self.more)} as many in the "
            f"second half of these hours as in the first, or {_times(self.less)} as many in the first as in the "
            "second; a smaller one is easily missed."
        )


def _times(ratio: float) -> str:
    return f"{ratio:.1f} times" if ratio < 10 else f"{ratio:,.0f} times"


def seeable_trend(events: int, *, p_value: float = 0.05, power: float = 0.8) -> Seeable:
    """What size of trend so many usable events could have shown, asked by two tests as ``weigh_together`` does.

    With a power law of shape β the statistic is a χ² of 2r degrees of freedom over β, so that the shape that is seen
    with this power is χ²(power)/χ²(p/4) for more often and χ²(1 − power)/χ²(1 − p/4) for less; of the events of such a
    law 2^β − 1 times as many are in the second half as in the first.
    Source: worked from the distribution of the test, NIST/SEMATECH e-Handbook 8.2.3.4.

    Raises:
        ValueError: no event, or a chance out of its range.
    """
    degrees = 2 * events
    more = chi_square_quantile(power, degrees) / chi_square_quantile(p_value / 4, degrees)
    less = chi_square_quantile(1 - power, degrees) / chi_square_quantile(1 - p_value / 4, degrees)
    return Seeable(events, 2**more - 1, 1 / (2**less - 1))
