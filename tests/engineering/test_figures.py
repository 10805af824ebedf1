"""How many figures a converted value is shown with, and how limits are turned into another unit."""

from decimal import Decimal

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from engineering.figures import Rounding, convert_sensibly
from engineering.limits import Limits, Verdict, convert_limits, judge
from engineering.measures import UNITS, MeasureProblem, convert, show, units_of


@pytest.mark.parametrize(
    ("value", "unit", "other", "shown"),
    [
        ("44", "psi", "bar", "3.03 bar"), ("44.0000", "psi", "bar", "3.03 bar"), ("44.5", "psi", "bar", "3.068 bar"),
        ("30", "psi", "kPa", "207 kPa"), ("2", "bar", "psi", "29 psi"), ("1050", "psi", "kPa", "7239 kPa"),
        ("180", "degF", "degC", "82.2 °C"), ("82", "degC", "degF", "180 °F"), ("34", "degF", "degC", "1.1 °C"),
        ("32", "degF", "degC", "0 °C"), ("0", "psi", "bar", "0 bar"), ("13.40", "V", "V", "13.4 V"),
        ("0.5", "psi", "kPa", "3.45 kPa"), ("5", "inH2O", "psi", "0.181 psi"),
    ],
)  # fmt: skip
def test_values_with_the_figures_they_deserve(value, unit, other, shown):
    assert show(convert_sensibly(Decimal(value), unit, other), other) == shown


def test_other_kinds_do_not_convert():
    with pytest.raises(MeasureProblem, match="no value in psi"):
        convert_sensibly(Decimal(12), "V", "psi")


NUMBERS = st.decimals(-10_000, 10_000, allow_nan=False, places=2)
CONVERTED = [unit.key for unit in UNITS.values() if len(units_of(unit.kind)) > 1]


@given(NUMBERS, st.sampled_from(CONVERTED), st.data())
def test_rounding_costs_at_most_half_of_what_was_entered(value, unit, data):
    other = data.draw(st.sampled_from(units_of(UNITS[unit].kind))).key
    exact = convert(value, unit, other)
    step = convert(Decimal("0.01"), unit, other) - convert(Decimal(0), unit, other)
    entered = Decimal(1) if value == value.to_integral_value() else Decimal("0.1") if value * 10 % 1 == 0 else None
    step = step * 100 if entered == 1 else step * 10 if entered else step
    assert abs(convert_sensibly(value, unit, other) - exact) <= step / 2


@given(NUMBERS, st.sampled_from(CONVERTED), st.data())
def test_up_is_never_below_and_down_never_above(value, unit, data):
    other = data.draw(st.sampled_from(units_of(UNITS[unit].kind))).key
    exact = convert(value, unit, other)
    assert convert_sensibly(value, unit, other, toward=Rounding.DOWN) <= exact
    assert convert_sensibly(value, unit, other, toward=Rounding.UP) >= exact


def test_a_converted_limit_lets_nothing_through_that_the_card_refuses():
    # 44 psi is 3.0337 bar: as a limit above it is 3.03, as a limit below 3.04
    card = Limits(low=Decimal(30), high=Decimal(44), nominal=Decimal(44))
    assert convert_limits(card, "psi", "bar") == Limits(Decimal("2.07"), Decimal("3.03"), Decimal("3.03"))
    assert judge(Decimal("3.034"), convert_limits(card, "psi", "bar"), unit="bar").verdict is Verdict.OUT


def test_a_narrow_band_keeps_the_figures_it_needs():
    card = Limits(low=Decimal(44), high=Decimal(45))
    turned = convert_limits(card, "psi", "bar")
    assert (turned.low, turned.high) == (Decimal("3.034"), Decimal("3.102"))


def test_a_band_without_width_stays_one_value():
    turned = convert_limits(Limits(low=Decimal(44), high=Decimal(44)), "psi", "bar", most_decimals=4)
    assert turned.low == turned.high == Decimal("3.0337")


@given(NUMBERS, NUMBERS, NUMBERS, st.sampled_from(CONVERTED), st.data())
def test_a_value_out_of_the_card_is_out_in_every_unit(low, high, value, unit, data):
    assume(low < high)
    other = data.draw(st.sampled_from(units_of(UNITS[unit].kind))).key
    turned = convert_limits(Limits(low=low, high=high), unit, other)
    exact = convert(value, unit, other)
    if judge(value, Limits(low=low, high=high), unit=unit).verdict is Verdict.OUT:
        assert judge(exact, turned, unit=other).verdict is Verdict.OUT


@given(NUMBERS, NUMBERS, st.sampled_from(CONVERTED), st.data())
def test_converted_limits_lose_little_of_their_band(low, high, unit, data):
    assume(low < high)
    other = data.draw(st.sampled_from(units_of(UNITS[unit].kind))).key
    turned = convert_limits(Limits(low=low, high=high), unit, other)
    width = convert(high, unit, other) - convert(low, unit, other)
    assert turned.low is not None
    assert turned.high is not None
    assert turned.low <= turned.high
    assert width - (turned.high - turned.low) <= width * Decimal("0.02")
