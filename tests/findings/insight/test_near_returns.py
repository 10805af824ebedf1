"""Returns that may be of one occasion, in the trend that the database adds up over the shop."""

from __future__ import annotations

from decimal import Decimal

import pytest

from engineering.codes import Code, CodeSystem
from engineering.recurrence import Direction, NotEnough, TrendTest, laplace_test, record_of
from findings.insight.fleet import FleetRow


def row_of(events: list[float], observed: float, *, near: int) -> FleetRow:
    """One fault of one hull, as the database adds it up."""
    offset = sum(at - observed / 2 for at in events)
    variance = len(events) * observed**2 / 12
    return FleetRow(
        code=Code(CodeSystem.OBD, "P0118"), sightings=len(events) + 1, hulls=1, appearances=len(events) + 1,
        returns=len(events), away_h=Decimal(str(observed)), unknown=0, untimed=0, trend_events=len(events),
        trend_offset=offset, trend_variance=variance, watched=1, hours_squared=observed**2, spread=0.0, after_h=0.0,
        after_expected_h=0.0, least_h=Decimal(str(observed)), most_h=Decimal(str(observed)), trend_hulls=1,
        trend_squares=offset**2,
        trend_both=offset * variance, trend_variance_squared=variance**2, near=near, near_reach=near * observed / 2,
    )  # fmt: skip


def test_without_such_returns_it_is_laplaces_test():
    events = [40.0, 60, 80, 90, 99]
    told = row_of(events, 100, near=0).trend
    assert isinstance(told, TrendTest)
    assert told.statistic == pytest.approx(laplace_test([record_of(events, 100)]).statistic)


@pytest.mark.parametrize("events", [[99.0] * 5, [10.0, 10, 10, 10, 90], [5.0, 5, 60, 60, 60]])
def test_few_occasions_tell_of_no_trend(events):
    near = len(events) - len(set(events))
    assert row_of(events, 100, near=near).trend_words == "not enough data"


def test_what_they_add_is_taken_from_the_sum():
    events = [20.0, 40, 60, 80, *[99.0] * 6]
    told = row_of(events, 100, near=5).trend
    assert not isinstance(told, NotEnough)
    assert not told.strength.says_something
    assert told.statistic >= 0
    assert told.p_value >= laplace_test([record_of(sorted(set(events)), 100)]).p_value


def test_a_trend_that_is_there_without_them_is_told():
    events = [float(at) for at in range(60, 100, 2)] + [99.0]
    told = row_of(sorted(events), 100, near=1).trend
    assert isinstance(told, TrendTest)
    assert told.direction is Direction.MORE_OFTEN
