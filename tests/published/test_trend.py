"""Trends against published figures: Sen (1968), the US EPA's guide, and the traps of reference libraries."""

from __future__ import annotations

import pytest

from engineering.trend import TooFew, line_of, mann_kendall, readings_of, score_of, theil_sen

# Sen, JASA 63 (1968) 1379, as used in scipy's test_mstats_basic.py::test_theilslopes: irregular x, as engine hours are
SEN = readings_of([(1, 9), (2, 15), (3, 19), (4, 20), (10, 45), (12, 55), (18, 78)])
# US EPA QA/G-9S, Data Quality Assessment: Statistical Methods for Practitioners (2006), p. 109, as quoted in a listing
EPA = readings_of(list(enumerate([10, 10, 10, 5, 10, 20, 18, 17, 15, 24, 15])))


def test_sen_slope():
    # Sen (1968): 4.0
    assert theil_sen(SEN).slope == 4.0


def test_sen_bounds():
    # Sen (1968), 93 %: 3.714286 to 4.375, which are 26/7 and 35/8
    line = theil_sen(SEN, confidence=0.93)
    assert line.slope_low == pytest.approx(26 / 7)
    assert line.slope_high == pytest.approx(35 / 8)
    assert line.slope_low == pytest.approx(3.714286, abs=5e-7)


def test_sen_intercept():
    # scipy's "separate": 4.0, where "joint" has 6.0
    assert theil_sen(SEN).intercept == 4.0


def test_sen_rises_in_every_pair():
    # Kendall's τ is 1, so S = 21 of 21 pairs; exact two-sided p 0.000396825 = 2/7!
    answer = mann_kendall(SEN)
    assert answer.score == 21
    assert answer.p_value == pytest.approx(0.000396825, abs=5e-10)


def test_three_readings():
    # scipy's test suite: y = 0, 1, 1 gives 0.5 and 0.5
    line = line_of(readings_of([(0, 0), (1, 1), (2, 1)]))
    assert (line.slope, line.intercept) == (0.5, 0.5)


def test_three_readings_are_not_enough_for_a_person():
    assert isinstance(theil_sen(readings_of([(0, 0), (1, 1), (2, 1)])), TooFew)


def test_epa_score():
    # EPA QA/G-9S (2006) p. 109: S = 22, from 35 that rise and 13 that fall
    assert mann_kendall(EPA).score == 22 == 35 - 13


def test_epa_variance_with_ties():
    # the same: ties of 4 and of 2, variance 155.33
    assert mann_kendall(EPA).variance == pytest.approx(155.33, abs=5e-3)


def test_epa_z_and_p():
    # the same: Z = 1.685, two-sided p 0.0920
    answer = mann_kendall(EPA)
    assert answer.z == pytest.approx(1.685, abs=5e-4)
    assert answer.p_value == pytest.approx(0.0920, abs=5e-5)


def test_epa_slope():
    # the same: Sen's slope 1.0 a step, intercept 10
    line = theil_sen(EPA)
    assert (line.slope, line.intercept) == (1.0, 10.0)


def test_epa_p_is_not_that_of_tau():
    # trap: Kendall's tau-b gives 0.0775 on the same data, the test of Mann and Kendall 0.0920
    from scipy import stats

    tau = stats.kendalltau(EPA.hours, EPA.values)
    assert tau.pvalue == pytest.approx(0.0775, abs=5e-5)
    assert mann_kendall(EPA).p_value != pytest.approx(tau.pvalue, abs=1e-2)


def test_hours_count_and_not_the_order_of_readings():
    # trap: pymannkendall knows no x, so that Sen's data give it 10 a step where it is 4 an hour
    import pymannkendall

    theirs = pymannkendall.original_test(list(SEN.values))
    assert theirs.slope == 10
    assert theil_sen(SEN).slope == 4
    assert score_of(SEN).score == theirs.s
    assert score_of(SEN).z == pytest.approx(theirs.z)


def test_another_library_agrees_on_sen():
    # scipy 1.17: stats.theilslopes(y, x, 0.93)
    from scipy import stats

    theirs = stats.theilslopes(SEN.values, SEN.hours, 0.93)
    ours = line_of(SEN, confidence=0.93)
    assert (ours.slope, ours.intercept, ours.slope_low, ours.slope_high) == pytest.approx(tuple(theirs))
