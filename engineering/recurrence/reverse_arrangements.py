"""The test of reverse arrangements: whether the times between events grow or shrink, by their order alone."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

from engineering.recurrence.distributions import normal_below
from engineering.recurrence.events import FEWEST_FOR_A_TREND, EventRecord, first_of_each, too_thin_for_a_trend
from engineering.recurrence.problem import NotEnough
from engineering.recurrence.trend_answer import Direction, TrendTest
from engineering.trend.orders import orders_by_inversions

MOST_FOR_EXACT_ORDERS = 12


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
