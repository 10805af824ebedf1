"""Ratiometric transducers and current loops: there and back, bands, and what is refused."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engineering.amounts import AmountProblem
from engineering.sensors.bands import Band
from engineering.sensors.current_loop import CurrentLoop, band_of
from engineering.sensors.ratiometric import RatiometricTransducer

ranges = st.tuples(st.floats(-1000, 1000), st.floats(-1000, 1000)).filter(lambda ends: abs(ends[0] - ends[1]) > 0.1)
shares = st.floats(0, 1)


@given(ranges, shares, st.floats(4, 6))
def test_ratiometric_there_and_back(ends, share, supply):
    transducer = RatiometricTransducer(*ends)
    value = min(max(ends[0] + share * (ends[1] - ends[0]), min(ends)), max(ends))
    reading = transducer.read(transducer.signal_v(value, supply_v=supply), supply_v=supply)
    assert reading.band is Band.IN_RANGE
    assert reading.value == pytest.approx(value, abs=1e-8)
    assert reading.span_fraction == pytest.approx(share, abs=1e-8)


@given(ranges, shares)
def test_current_there_and_back(ends, share):
    loop = CurrentLoop(*ends)
    value = min(max(ends[0] + share * (ends[1] - ends[0]), min(ends)), max(ends))
    reading = loop.read(loop.current_ma(value))
    assert reading.value == pytest.approx(value, abs=1e-8)


@given(st.floats(0, 30), st.floats(0, 30))
def test_bands_go_up_with_the_current(one, other):
    order = list(Band)
    less, more = sorted((one, other))
    assert order.index(band_of(less)) <= order.index(band_of(more))


@given(st.floats(0, 6), st.floats(0, 6))
def test_bands_go_up_with_the_voltage(one, other):
    order, transducer = list(Band), RatiometricTransducer(0, 100)
    less, more = sorted((one, other))
    bands = [transducer.read(volts, supply_v=5).band for volts in (less, more)]
    assert order.index(bands[0]) <= order.index(bands[1])


@given(st.floats(0.01, 4.99), st.floats(0.5, 2))
def test_a_ratiometric_reading_does_not_depend_on_the_supply(volts, factor):
    transducer = RatiometricTransducer(0, 100)
    at_five = transducer.read(volts, supply_v=5)
    scaled = transducer.read(volts * factor, supply_v=5 * factor)
    assert scaled.span_fraction == pytest.approx(at_five.span_fraction, abs=1e-9)


@pytest.mark.parametrize(
    ("volts", "band", "has_value"),
    [
        (0.0, Band.FAULT_LOW, False), (0.24, Band.FAULT_LOW, False), (0.25, Band.BELOW_RANGE, True),
        (0.49, Band.BELOW_RANGE, True), (0.5, Band.IN_RANGE, True), (4.5, Band.IN_RANGE, True),
        (4.51, Band.ABOVE_RANGE, True), (4.75, Band.ABOVE_RANGE, True), (4.76, Band.FAULT_HIGH, False),
        (5.5, Band.FAULT_HIGH, False),
    ],
)  # fmt: skip
def test_bands_of_a_five_volt_transducer(volts, band, has_value):
    reading = RatiometricTransducer(0, 100).read(volts, supply_v=5)
    assert reading.band is band
    assert (reading.value is not None) is has_value


def test_reverse_acting_ones():
    assert RatiometricTransducer(100, 0).read(0.5, supply_v=5).value == pytest.approx(100)
    assert CurrentLoop(10, 0).read(20).value == 0
    assert CurrentLoop(10, 0).current_ma(10) == 4


def test_the_margin_before_a_fault_is_the_makers():
    wide = RatiometricTransducer(0, 100, fault_margin=0.1)
    assert wide.read(0.1, supply_v=5).band is Band.BELOW_RANGE
    assert RatiometricTransducer(0, 100).read(0.1, supply_v=5).band is Band.FAULT_LOW


def test_no_current_at_all_is_said():
    assert "open" in CurrentLoop(0, 10).read(0).sentence
    assert "failure signal" in CurrentLoop(0, 10).read(3.5).sentence


@pytest.mark.parametrize(
    ("arguments", "field"),
    [
        ((5, 5), "high_value"), ((math.nan, 5), "low_value"), ((0, math.inf), "high_value"),
        ((0, 5, 0.9, 0.1), "high_fraction"), ((0, 5, 0.5, 0.5), "high_fraction"), ((0, 5, -0.1, 0.9), "low_fraction"),
        ((0, 5, 0.1, 1.1), "high_fraction"), ((0, 5, 0.1, 0.9, -0.1), "fault_margin"),
    ],
)  # fmt: skip
def test_transducers_that_are_none(arguments, field):
    with pytest.raises(AmountProblem) as refused:
        RatiometricTransducer(*arguments)
    assert refused.value.field == field


@pytest.mark.parametrize("value", [-1.0, math.nan, math.inf])
def test_signals_that_are_none(value):
    with pytest.raises(AmountProblem):
        RatiometricTransducer(0, 100).read(value, supply_v=5)
    with pytest.raises(AmountProblem):
        CurrentLoop(0, 100).read(value)


@pytest.mark.parametrize("supply", [0.0, -5.0, math.nan, math.inf])
def test_supplies_that_are_none(supply):
    transducer = RatiometricTransducer(0, 100)
    for ask in (lambda: transducer.read(2.5, supply_v=supply), lambda: transducer.signal_v(50, supply_v=supply)):
        with pytest.raises(AmountProblem) as refused:
            ask()
        assert refused.value.field == "supply_v"


@pytest.mark.parametrize("value", [-0.1, 100.1, math.nan])
def test_a_value_outside_of_the_range_has_no_signal(value):
    with pytest.raises(AmountProblem):
        RatiometricTransducer(0, 100).signal_v(value, supply_v=5)
    with pytest.raises(AmountProblem):
        CurrentLoop(0, 100).current_ma(value)


def test_a_loop_without_a_range():
    with pytest.raises(AmountProblem):
        CurrentLoop(10, 10)
