"""Position sensors step by step, their sweep, and two tracks against each other."""

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from engineering.amounts import AmountProblem
from engineering.sensors.position import (
    PositionLimits,
    ground_drop_check,
    ground_resistance_check,
    signal_check,
    supply_check,
    travel_fraction,
)
from engineering.sensors.sweep import compare_tracks, judge_sweep

volts = st.floats(0.1, 4.9)


@pytest.mark.parametrize(
    ("supply", "words"),
    [
        (5.0, "feeds the sensor"), (4.75, "feeds the sensor"), (5.25, "feeds the sensor"),
        (5.26, "touches battery voltage"), (12.6, "touches battery voltage"),
        (4.74, "pulls it down"), (2.5, "pulls it down"), (2.3, "No supply"), (0.0, "No supply"),
    ],
)  # fmt: skip
def test_what_the_supply_wire_says(supply, words):
    check = supply_check(supply)
    assert words in check.sentence
    assert check.is_good is ("feeds" in words)


def test_limits_are_handed_in():
    eight_volts = PositionLimits(supply_low_v=7.6, supply_high_v=8.4, ground_drop_v=0.05, ground_ohm=0.5)
    assert supply_check(8.0, eight_volts).is_good
    assert not supply_check(5.0, eight_volts).is_good
    assert not ground_drop_check(0.1, eight_volts).is_good
    assert ground_drop_check(0.1).is_good
    assert not ground_resistance_check(0.8, eight_volts).is_good
    assert ground_resistance_check(0.8).is_good
    assert not signal_check(0.3, supply_v=5, limits=PositionLimits(fault_low_fraction=0.1)).is_good


@pytest.mark.parametrize("value", [math.nan, math.inf, -1.0])
def test_what_is_no_measurement(value):
    with pytest.raises(AmountProblem):
        supply_check(value)
    with pytest.raises(AmountProblem):
        ground_resistance_check(value)
    with pytest.raises(AmountProblem):
        signal_check(value, supply_v=5)
    with pytest.raises(AmountProblem):
        signal_check(2.5, supply_v=value)


def test_a_ground_drop_may_have_either_sign_but_must_be_a_number():
    assert ground_drop_check(-0.1).is_good
    with pytest.raises(AmountProblem):
        ground_drop_check(math.nan)


@pytest.mark.parametrize(
    "changes",
    [{"supply_low_v": 5.5}, {"supply_low_v": 0}, {"ground_drop_v": 0}, {"ground_ohm": -1},
     {"fault_low_fraction": 0.97}, {"fault_high_fraction": math.nan}],
)  # fmt: skip
def test_limits_that_nothing_could_meet(changes):
    with pytest.raises(AmountProblem):
        PositionLimits(**changes)


@given(volts, volts, st.floats(0, 1))
def test_travel_of_rising_and_falling_signals(rest, end, share):
    assume(abs(end - rest) > 0.01)
    assert travel_fraction(rest + share * (end - rest), rest_v=rest, end_v=end) == pytest.approx(share, abs=1e-9)


def test_travel_needs_two_ends():
    with pytest.raises(AmountProblem, match="same"):
        travel_fraction(1.0, rest_v=0.5, end_v=0.5)


def test_a_smooth_sweep():
    sweep = judge_sweep([0.6, 1.5, 2.4, 3.3, 4.2], supply_v=5)
    assert not sweep.faults
    assert sweep.travel == pytest.approx((0, 0.25, 0.5, 0.75, 1))
    assert sweep.largest_step == pytest.approx(0.25)


@given(st.lists(st.floats(0.3, 4.7), min_size=3, max_size=20, unique=True), st.booleans())
def test_whatever_only_rises_or_only_falls_is_smooth(samples, falls):
    samples = sorted(samples, reverse=falls)
    assume(abs(samples[-1] - samples[0]) > 1.1)
    sweep = judge_sweep(samples, supply_v=5)
    assert not sweep.faults
    assert sweep.travel[0] == 0
    assert sweep.travel[-1] == 1


@pytest.mark.parametrize(
    ("samples", "words"),
    [
        ([0.6, 1.5, 0.0, 3.3, 4.2], "Reading 3, 0 V: at ground"),
        ([0.6, 1.5, 5.0, 3.3, 4.2], "Reading 3, 5 V: at its supply"),
        ([0.6, 1.5, 1.2, 3.3, 4.2], "Reading 3, 1.2 V: it steps back by 8 %"),
        ([4.2, 3.3, 3.6, 1.5, 0.6], "Reading 3, 3.6 V: it steps back by 8 %"),
        ([2.0, 2.1, 2.2, 2.3], "moves by 0.3 V only"),
    ],
)
def test_what_a_sweep_finds(samples, words):
    assert any(words in fault for fault in judge_sweep(samples, supply_v=5).faults)


def test_a_step_back_within_the_noise_is_none():
    assert not judge_sweep([0.6, 2.0, 1.95, 3.0, 4.2], supply_v=5).faults
    assert judge_sweep([0.6, 2.0, 1.95, 3.0, 4.2], supply_v=5, backward_share=0.01).faults


@pytest.mark.parametrize(
    ("samples", "words"),
    [([0.6, 4.2], "3 places"), ([0.6, 2, 0.6], "whole travel"), ([0.6, math.nan, 4], "not a number"), ([], "3 places")],
)
def test_sweeps_that_are_none(samples, words):
    with pytest.raises(AmountProblem, match=words):
        judge_sweep(samples, supply_v=5)


def test_a_track_with_half_the_voltage_agrees():
    tracks = compare_tracks([(0.8, 0.4), (1.7, 0.85), (2.6, 1.3), (3.5, 1.75)])
    assert tracks.agree
    assert tracks.largest_difference == pytest.approx(0, abs=1e-9)


def test_a_falling_track_agrees():
    assert compare_tracks([(0.5, 4.5), (1.5, 3.5), (2.5, 2.5), (4.5, 0.5)]).agree


def test_tracks_that_part_are_told_where():
    tracks = compare_tracks([(0.8, 0.4), (1.7, 0.85), (2.6, 1.6), (3.5, 1.75)])
    assert not tracks.agree
    assert tracks.at_sample == 3
    assert tracks.largest_difference == pytest.approx(0.2222, abs=0.0001)
    assert compare_tracks([(0.8, 0.4), (1.7, 0.85), (2.6, 1.6), (3.5, 1.75)], allowed_share=0.25).agree


@pytest.mark.parametrize(
    ("samples", "words"),
    [([(1, 2), (2, 3)], "3 places"), ([(1, 2), (2, 3), (1, 4)], "does not move"),
     ([(1, 2), (2, math.inf), (3, 4)], "not a number")],
)  # fmt: skip
def test_tracks_that_are_none(samples, words):
    with pytest.raises(AmountProblem, match=words):
        compare_tracks(samples)


def test_no_difference_allowed_is_refused():
    with pytest.raises(AmountProblem):
        compare_tracks([(1, 2), (2, 3), (3, 4)], allowed_share=0)
