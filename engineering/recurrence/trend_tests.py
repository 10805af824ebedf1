"""Are events coming more often? The Laplace test and the test of MIL-HDBK-189, and what both say together.

They take one record or many. With many, each is compared with its own window, so hulls may differ in how often they
have the event: only the trend is pooled.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import replace

from engineering.recurrence.distributions import (
    chi_square_above,
    chi_square_below,
    normal_below,
    normal_two_sided,
)
from engineering.recurrence.events import AT_ZERO_H, EventRecord, too_thin_for_a_trend
from engineering.recurrence.hull_squares import HullSquares, over_hulls
from engineering.recurrence.problem import NotEnough
from engineering.recurrence.strength import Strength, strength_of
from engineering.recurrence.trend_answer import Direction, TrendTest


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


def log_ratios(records: Sequence[EventRecord]) -> float:
    """Σ ln(T/tᵢ) over all usable events."""
    return sum(
        math.log(max(record.observed_h, AT_ZERO_H) / max(hours, AT_ZERO_H))
        for record in records
        for hours in record.usable
    )
