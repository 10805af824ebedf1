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


VALUES = st.builds(
    lambda number, places: Decimal(number).scaleb(-places), st.integers(-(10**7), 10**7), st.integers(-2, 4)
)
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
    # 44 psi is 3.03369 bar: as a limit above it is 3.033, as a limit below 3.034
    card = Limits(low=Decimal(30), high=Decimal(44), nominal=Decimal(44))
    assert convert_limits(card, "psi", "bar") == Limits(Decimal("2.069"), Decimal("3.033"), Decimal("3.03"))
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


@pytest.mark.parametrize(
    ("value", "unit", "verdict"),
    [
        ("1.243", "bar", Verdict.NEAR),  # 18.03 psi
        ("1.241", "bar", Verdict.OUT),  # 17.999 psi
        ("1.2410", "bar", Verdict.OUT),
        ("1.2411", "bar", Verdict.NEAR),  # 18.0006 psi
        ("3.0335", "bar", Verdict.NEAR),  # 43.997 psi
        ("3.0337", "bar", Verdict.OUT),  # 44.0001 psi
        ("124.5", "kPa", Verdict.NEAR),  # 18.06 psi
        ("124", "kPa", Verdict.OUT),  # 17.98 psi
        ("303", "kPa", Verdict.NEAR),
        ("304", "kPa", Verdict.OUT),
        ("124150", "Pa", Verdict.NEAR),
        ("124100", "Pa", Verdict.OUT),
    ],
)
def test_a_value_is_judged_as_the_card_judges_it(value, unit, verdict):
    card, typed = Limits(low=Decimal(18), high=Decimal(44)), Decimal(value)
    turned = convert_limits(card, "psi", unit, values=[typed], most_decimals=4)
    assert judge(typed, turned, unit=unit).verdict is verdict


@given(NUMBERS, NUMBERS, VALUES, st.sampled_from(CONVERTED), st.data())
def test_a_value_is_out_in_another_unit_where_the_card_refuses_it_and_nowhere_else(low, high, value, unit, data):
    assume(low < high)
    other = data.draw(st.sampled_from(units_of(UNITS[unit].kind))).key
    exact_low, exact_high = convert(low, unit, other), convert(high, unit, other)
    turned = convert_limits(Limits(low=low, high=high), unit, other, values=[value], most_decimals=4)
    assume(turned.low is not None and turned.high is not None and exact_low <= turned.low <= turned.high <= exact_high)
    assert (judge(value, turned, unit=other).verdict is Verdict.OUT) is (not exact_low <= value <= exact_high)


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
