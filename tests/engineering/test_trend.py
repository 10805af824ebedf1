"""Trends of readings: own behavior, properties, and the same answers as other libraries on any series."""

from __future__ import annotations

import math

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from engineering.trend import (
    MOST_READINGS,
    Outlook,
    Readings,
    TooFew,
    TrendProblem,
    explain_trend,
    line_of,
    mann_kendall,
    readings_of,
    score_of,
    theil_sen,
    trend_of,
)
from engineering.trend.orders import orders_by_inversions

# fuel pressure at idle, in psi, that creeps down to its limit
CREEP = readings_of([(100, 43.6), (180, 42.9), (250, 42.1), (330, 41.3), (400, 40.4), (480, 39.6), (560, 38.4)])
series = st.lists(st.tuples(st.integers(0, 2000), st.integers(-50, 50)), min_size=5, max_size=40)


def psi(value):
    return f"{value:.3g} psi"


@given(series)
@settings(max_examples=80, deadline=None)
@example([(0, 0), (0, 0), (0, 0), (0, 0), (1, 0)])
def test_line_as_scipy_has_it(pairs):
    import numpy as np
    from scipy import stats

    readings = readings_of(pairs)
    if len(set(readings.hours)) < 2:
        with pytest.raises(TrendProblem):
            line_of(readings)
        return
    for confidence in (0.8, 0.95):
        ours = line_of(readings, confidence=confidence)
        with np.errstate(invalid="ignore"):  # ties on both sides: its variance can fall below zero there
            theirs = stats.theilslopes(readings.values, readings.hours, confidence)
        assert (ours.slope, ours.intercept) == pytest.approx((theirs.slope, theirs.intercept), abs=1e-9)
        if len(set(readings.values)) > 1 and not (_ties(readings.hours) and _ties(readings.values)):
            # with ties on both sides its variance is another approximation
            assert (ours.slope_low, ours.slope_high) == pytest.approx((theirs.low_slope, theirs.high_slope), abs=1e-9)
        assert ours.slope_low <= ours.slope <= ours.slope_high


def _ties(numbers):
    return len(set(numbers)) < len(numbers)


@given(st.lists(st.integers(-20, 20), min_size=5, max_size=40))
@settings(max_examples=60, deadline=None)
def test_score_as_pymannkendall_has_it(values):
    import pymannkendall

    ours = score_of(readings_of(list(enumerate(values))))
    theirs = pymannkendall.original_test(values)
    assert (ours.score, ours.variance) == pytest.approx((theirs.s, theirs.var_s))
    assert ours.z == pytest.approx(theirs.z)
    if len(values) > 10 or _ties(values):
        assert ours.p_value == pytest.approx(theirs.p)


@given(st.permutations(range(8)))
@settings(max_examples=40, deadline=None)
def test_exact_chance_as_scipy_counts_it(values):
    from scipy import stats

    ours = score_of(readings_of(list(enumerate(values))))
    assert ours.p_value == pytest.approx(stats.kendalltau(range(8), values, method="exact").pvalue)


@given(series)
@settings(max_examples=60, deadline=None)
def test_variance_with_ties_on_both_sides_as_scipy_has_it(pairs):
    from scipy import stats

    readings = readings_of(pairs)
    ours = score_of(readings)
    if not ours.variance or not (_ties(readings.hours) and _ties(readings.values)):
        return
    theirs = stats.kendalltau(readings.hours, readings.values, method="asymptotic")  # without the step of one
    assert math.erfc(abs(ours.score) / math.sqrt(2 * ours.variance)) == pytest.approx(theirs.pvalue, abs=1e-9)


@given(series, st.floats(0.1, 50), st.integers(-1000, 1000))
@settings(max_examples=40, deadline=None)
def test_the_meter_s_zero_and_unit_do_not_matter(pairs, factor, offset):
    readings = readings_of(pairs)
    moved = readings_of([(hours * factor + offset, value) for hours, value in pairs])
    if len(set(readings.hours)) < 2 or len(set(moved.hours)) != len(set(readings.hours)):
        return
    assert score_of(moved).p_value == pytest.approx(score_of(readings).p_value)
    assert line_of(moved).slope * factor == pytest.approx(line_of(readings).slope, abs=1e-6)


def test_one_wild_reading_moves_little():
    wild = readings_of([*zip(CREEP.hours, CREEP.values, strict=True), (520, 95.0)])
    assert theil_sen(wild).slope == pytest.approx(theil_sen(CREEP).slope, rel=0.15)


def test_every_order_is_counted_once():
    assert orders_by_inversions(4) == (1, 3, 5, 6, 5, 3, 1)
    assert sum(orders_by_inversions(10)) == math.factorial(10)


# ---- meeting the limit


def test_a_creeping_reading_meets_its_limit_within_an_interval():
    trend = trend_of(CREEP, low=38)
    assert trend.outlook is Outlook.AHEAD
    assert 0 < trend.soonest_h < trend.hours_left < trend.latest_h < 200
    # the line falls 5.2 psi in 460 h, and stands 0.4 psi above the limit or a little more
    assert trend.hours_left == pytest.approx(50, abs=15)
    assert explain_trend(trend, psi) == (
        "It falls by about 1.13 psi every 100 h (1 psi to 1.29 psi, 95% sure, 7 readings). It meets its limit of 38 "
        f"psi in about {trend.hours_left:.0f} h of running, at the soonest {trend.soonest_h:.0f} h, at the latest "
        f"{trend.latest_h:.0f} h, if nothing is done about it."
    )


def test_hours_run_since_the_last_reading_count():
    before, after = trend_of(CREEP, low=38), trend_of(CREEP, low=38, now_h=580)
    assert before.hours_left - after.hours_left == pytest.approx(20)


def test_only_the_limit_ahead_counts():
    assert trend_of(CREEP, high=45).outlook is Outlook.NO_LIMIT_AHEAD
    assert "No limit is on record on that side" in explain_trend(trend_of(CREEP, high=45), psi)
    rising = readings_of([(hours, -value) for hours, value in zip(CREEP.hours, CREEP.values, strict=True)])
    assert trend_of(rising, low=-90, high=-38).limit == -38
    assert "It rises by" in explain_trend(trend_of(rising, high=-38), psi)


def test_what_is_out_now_is_said_first_and_no_trend_speaks_for_it():
    trend = trend_of(CREEP, low=41)
    assert (trend.outlook, trend.hours_left, trend.limit) == (Outlook.OUT, None, 41)
    said = explain_trend(trend, psi)
    assert said.startswith("Out now: the last reading, ")
    assert "is below its lower limit of 41 psi. It falls by about" in said
    assert "meets its limit" not in said


EVERY_50_H = range(0, 350, 50)


@pytest.mark.parametrize(
    ("values", "limits", "outlook", "words"),
    [
        # No trend, and the last one is out: not "no trend".
        ([42, 43, 42, 43, 42, 43, 30], {"low": 38}, Outlook.OUT, "Out now: the last reading, 30 psi"),
        # It falls towards the lower limit, and is above the upper one.
        ([60, 58, 56, 54, 52, 50, 48], {"low": 20, "high": 46}, Outlook.OUT, "above its upper limit of 46 psi"),
        # On its limit is not beyond it.
        ([44, 43, 42, 41, 40, 39, 38], {"low": 38}, Outlook.PAST, "though the last reading is not"),
        # The line is past, one good reading is not out.
        ([44, 43, 42, 41, 40, 39, 39.5], {"low": 39.4}, Outlook.PAST, "measure again soon"),
        # An old one was out, the last is not.
        ([30, 42, 43, 42, 43, 42, 43], {"low": 38}, Outlook.NO_TREND, "chance alone can put 7 readings"),
        # Out without any limit is nothing.
        ([30, 42, 43, 42, 43, 42, 43], {}, Outlook.NO_TREND, "No trend is seen"),
        # Clear fall with room left.
        ([50, 49, 48, 47, 46, 45, 44], {"low": 38}, Outlook.AHEAD, "It meets its limit of 38 psi in about 300 h"),
        # A fall with two readings astray, such as comes by chance 2 times in 100.
        ([50, 49, 47, 48, 47.5, 46, 46.5], {"low": 38}, Outlook.WEAK, "too weak to name an hour"),
        ([50, 49, 47, 48.5, 47.5, 46, 48], {"low": 38}, Outlook.NO_TREND, "No trend is seen"),
    ],
)
def test_the_judgment_of_a_careful_mechanic(values, limits, outlook, words):
    trend = trend_of(readings_of(list(zip(EVERY_50_H, values, strict=True))), **limits)
    assert trend.outlook is outlook
    assert words in explain_trend(trend, psi)


def test_few_readings_with_the_last_one_out_say_that_first():
    answer = trend_of(readings_of([(1, 50), (2, 12)]), low=30)
    assert isinstance(answer, TooFew)
    assert explain_trend(answer, psi).startswith(
        "Out now: the last reading, 12 psi, is below its lower limit of 30 psi. "
    )


def test_a_last_reading_without_hours_is_out_as_well():
    assert trend_of(CREEP, low=20, last=12.0).outlook is Outlook.OUT


def test_five_readings_in_a_row_name_no_hour():
    trend = trend_of(readings_of([(0, 50), (50, 48), (100, 46), (150, 44), (200, 42)]), low=38)
    assert (trend.outlook, trend.hours_left) == (Outlook.WEAK, None)
    assert " h of running" not in explain_trend(trend, psi)


def test_readings_that_resemble_their_neighbors_say_less():
    wander = [0, 1, 2, 2.5, 3, 3, 2.5, 2, 2.2, 2.8, 3.5, 4, 4.2, 4, 3.6, 3.4, 3.8, 4.4, 4.8, 5]
    readings = readings_of([(50.0 * at, value) for at, value in enumerate(wander)])
    trend, plain = trend_of(readings, high=20), theil_sen(readings)
    assert trend.memory > 0.5
    assert trend.line.slope_high - trend.line.slope_low > 1.5 * (plain.slope_high - plain.slope_low)
    assert trend.test.p_value > 20 * score_of(readings).p_value
    assert trend_of(CREEP, low=38).memory == 0, "seven readings cannot show it"


def test_no_date_is_given_far_beyond_the_record():
    trend = trend_of(CREEP, low=10)
    assert (trend.outlook, trend.hours_left, trend.latest_h) == (Outlook.FAR_AHEAD, None, None)
    assert "no date to plan by" in explain_trend(trend, psi)


UNCERTAIN = [50, 47.0, 49.0, 45.5, 47.5, 44.6, 46.5, 44]


def test_a_weak_trend_names_no_hour():
    trend = trend_of(readings_of([(100 * at, value) for at, value in enumerate(UNCERTAIN)]), low=39)
    assert 0.01 < trend.test.p_value < 0.05
    assert (trend.outlook, trend.hours_left, trend.soonest_h) == (Outlook.WEAK, None, None)
    assert trend.told is None
    assert explain_trend(trend, psi).startswith(
        "It falls, but over 8 readings how fast is too uncertain to say. It goes"
    )
    assert "too weak to name an hour" in explain_trend(trend, psi)


def test_what_is_told_has_wider_bounds_than_the_line():
    trend = trend_of(CREEP, low=38)
    assert trend.told is not None
    assert trend.told.slope_low < trend.line.slope_low < trend.line.slope_high <= trend.told.slope_high < 0
    level = [0, 1, -1, 0.5, -0.5, 1, 0, -1, 0.5, 0, 1, -0.5]
    twelve = trend_of(readings_of([(50 * at, 0.8 * at + off) for at, off in enumerate(level)]))
    assert twelve.memory == 0, "none is seen, and some is allowed for"
    assert twelve.told is not None
    wider = theil_sen(readings_of([(50 * at, 0.8 * at + off) for at, off in enumerate(level)]), confidence=0.99)
    assert twelve.told.slope_high - twelve.told.slope_low > wider.slope_high - wider.slope_low


def test_an_uncertain_slope_gives_no_latest_hour():
    noisy = readings_of([(100 * at, value) for at, value in enumerate([*UNCERTAIN, 43.5])])
    trend = trend_of(noisy, low=38)
    assert trend.outlook is Outlook.AHEAD
    assert trend.latest_h is None
    assert "with no certain end" in explain_trend(trend, psi)


@pytest.mark.parametrize(
    ("values", "words"),
    [
        ([14.2] * 7, "all 7 readings are the same."),
        ([14.1, 14.3, 14.2, 14.2, 14.1, 14.3, 14.2], "chance alone can put 7 readings in such an order."),
        ([14.2, 14.2, 14.2, 14.2, 14.2, 14.2, 13.6], "chance alone can put 7 readings in such an order."),
        ([14.2, 14.2, 14.2, 14.2, 14.2, 14.2, 14.3], "chance alone can put 7 readings in such an order."),
    ],
)
def test_no_trend_is_said(values, words):
    trend = trend_of(readings_of(list(zip(range(0, 700, 100), values, strict=True))), low=13.5, high=14.3)
    assert (trend.outlook, trend.hours_left) == (Outlook.NO_TREND, None)
    assert explain_trend(trend, psi) == f"No trend is seen: {words}"


@pytest.mark.parametrize(
    ("pairs", "words"),
    [
        ([], "no reading"), ([(1, 1)], "one reading"), ([(1, 1), (2, 2), (3, 3), (4, 4)], "4 readings"),
        ([(1, 1), (1, 2), (1, 3), (2, 4), (2, 5)], "one or two different hours"),
    ],
)  # fmt: skip
def test_too_few_readings_say_so(pairs, words):
    for answer in (trend_of(readings_of(pairs)), mann_kendall(readings_of(pairs)), theil_sen(readings_of(pairs))):
        assert isinstance(answer, TooFew)
        assert answer.sentence.startswith("Not enough data for a trend")
        assert words in answer.sentence
        assert explain_trend(trend_of(readings_of(pairs)), psi) == answer.sentence


def test_four_readings_in_a_row_would_not_be_evidence():
    assert score_of(readings_of([(1, 1), (2, 2), (3, 3), (4, 4)])).p_value == pytest.approx(2 / 24)


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda: Readings((1,), (1, 2)), "its hours and its value"), (lambda: readings_of([(1, math.nan)]), "ordinary"),
        (lambda: readings_of([(math.inf, 1)]), "ordinary"), (lambda: Readings((2, 1), (1, 2)), "in order"),
        (lambda: Readings((1.0,) * 500, (1.0,) * 500), "At most 400"), (lambda: theil_sen(CREEP, confidence=1), "50 %"),
        (lambda: trend_of(CREEP, low=5, high=2), "Swap"), (lambda: trend_of(CREEP, low=math.nan), "ordinary"),
        (lambda: trend_of(CREEP, now_h=300), "Check the hours"),
    ],
)  # fmt: skip
def test_what_makes_no_sense_is_refused_with_a_sentence(make, words):
    with pytest.raises(TrendProblem) as refused:
        make()
    assert words in refused.value.sentence
    assert refused.value.field


def test_of_a_long_record_the_latest_readings_are_kept():
    readings = readings_of([(hours, 1.0) for hours in range(1000)])
    assert len(readings.hours) == MOST_READINGS
    assert readings.hours[-1] == 999


@given(series, st.integers(-60, 60), st.integers(0, 120))
@settings(max_examples=80, deadline=None)
def test_an_interval_is_in_order_and_never_behind(pairs, low, width):
    trend = trend_of(readings_of(pairs), low=low, high=low + width)
    if isinstance(trend, TooFew):
        return
    if trend.hours_left is not None:
        assert 0 <= trend.soonest_h <= trend.hours_left
        assert trend.latest_h is None or trend.latest_h >= trend.hours_left
    assert explain_trend(trend, psi).endswith(".")
