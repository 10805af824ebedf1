"""Thermistors by beta, by three points and by a table: both directions, and what is refused."""

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from thermistor_utils.Beta_converter import Beta_converter
from thermistor_utils.SH_converter import SH_converter

from engineering.amounts import AmountProblem
from engineering.sensors.divider import resistance_from_voltage, voltage_from_resistance
from engineering.sensors.steinhart_hart import SteinhartHart
from engineering.sensors.thermistor import BetaThermistor
from engineering.sensors.thermistor_table import SensorTable

COOLANT = [(-20, 28_600), (0, 9_400), (20, 3_500), (40, 1_460), (60, 670), (80, 332), (100, 177), (120, 101)]
"""An invented coolant sender's table."""
betas = st.builds(BetaThermistor, st.floats(50, 500_000), st.floats(2500, 5000), st.floats(0, 60))
celsius = st.floats(-40, 150)
nonsense = pytest.mark.parametrize("value", [0.0, -1.0, math.nan, math.inf, -math.inf])


@given(betas, celsius)
def test_beta_goes_there_and_back(sensor, temperature):
    assert sensor.temperature_c(sensor.resistance_ohm(temperature)) == pytest.approx(temperature, abs=1e-8)


@given(betas, celsius)
def test_beta_agrees_with_the_library(sensor, temperature):
    library = Beta_converter(sensor.beta_k, sensor.reference_ohm, sensor.reference_c)
    assert sensor.resistance_ohm(temperature) == pytest.approx(library.resistance(temperature), rel=1e-9)
    ohms = sensor.resistance_ohm(temperature)
    assert sensor.temperature_c(ohms) == pytest.approx(library.temperature(ohms), abs=1e-8)


@given(betas, celsius, celsius)
def test_warmer_is_less_resistance(sensor, one, other):
    assume(abs(one - other) > 1e-6)
    cold, warm = sorted((one, other))
    assert sensor.resistance_ohm(cold) > sensor.resistance_ohm(warm)


@given(betas, st.floats(-40, 40), st.floats(20, 50), st.floats(20, 50), celsius)
def test_three_points_agree_with_the_library(sensor, cold, step, further, temperature):
    # real sensors bend a little away from beta, so bend the middle point by half a percent
    points = [
        (cold, sensor.resistance_ohm(cold)),
        (cold + step, sensor.resistance_ohm(cold + step) * 0.995),
        (cold + step + further, sensor.resistance_ohm(cold + step + further)),
    ]
    fitted = SteinhartHart.through(points[::-1])
    library = SH_converter.from_points(points)
    for place, ohms in points:
        assert fitted.temperature_c(ohms) == pytest.approx(place, abs=1e-6)
        assert fitted.temperature_c(ohms) == pytest.approx(library.temperature(ohms), abs=1e-6)
        assert fitted.resistance_ohm(place) == pytest.approx(ohms, rel=1e-9)
    if points[0][0] <= temperature <= points[2][0]:
        assert fitted.temperature_c(fitted.resistance_ohm(temperature)) == pytest.approx(temperature, abs=1e-8)


@given(celsius)
def test_the_inverse_agrees_with_the_librarys_closed_form(temperature):
    coefficients = (1.125308852122e-3, 2.34711863267e-4, 8.5663516e-8)
    mine, library = SteinhartHart(*coefficients), SH_converter(*coefficients)
    assert mine.resistance_ohm(temperature) == pytest.approx(library.resistance(temperature), rel=1e-8)


def test_without_a_third_coefficient_it_is_beta():
    # the library's closed form divides by C
    beta = BetaThermistor(10_000, 3977)
    b = 1 / 3977
    plain = SteinhartHart(1 / 298.15 - b * math.log(10_000), b, 0.0)
    assert plain.resistance_ohm(80) == pytest.approx(beta.resistance_ohm(80), rel=1e-9)
    with pytest.raises(ZeroDivisionError):
        SH_converter(plain.a, plain.b, 0.0).resistance(80)


def test_a_negative_third_coefficient_works_where_the_curve_still_falls():
    fitted = SteinhartHart.through([(0, 9000), (50, 950), (100, 200)])
    assert fitted.c < 0
    assert fitted.resistance_ohm(75) == pytest.approx(409.2, abs=0.1)
    assert fitted.temperature_c(fitted.resistance_ohm(75)) == pytest.approx(75, abs=1e-8)
    turned = SteinhartHart(1.4e-3, 2.4e-4, -9e-7)
    with pytest.raises(AmountProblem, match="short or an open"):
        turned.temperature_c(1e6)


def test_the_points_of_the_coefficients_are_kept():
    fitted = SteinhartHart.through([(50, 3542), (0, 32128), (25, 9814)])
    assert fitted.points_c == (0, 50)
    assert SteinhartHart(fitted.a, fitted.b, fitted.c).points_c is None


@pytest.mark.parametrize(
    ("points", "words"),
    [
        ([(0, 32128), (50, 3542)], "three points"),
        ([(0, 32128), (25, 9814), (50, 12000)], "from 25 to 50"),
        ([(0, 100), (25, 110), (50, 120)], "does not fall"),
        ([(0, 32128), (25, 9814), (25, 3542)], "same temperature"),
        ([(0, 32128), (25, math.nan), (50, 3542)], "not a number"),
        ([(0, 32128), (25, 0), (50, 3542)], "more than 0"),
        ([(0, 32128), (25, 32127), (50, 3542)], "Check them"),
        ([(math.nan, 32128), (25, 9814), (50, 3542)], "not a number"),
        ([(0, 32128), (25, 9814), (900, 3542)], "900"),
    ],
)
def test_points_that_are_no_thermistor(points, words):
    with pytest.raises(AmountProblem, match=words) as refused:
        SteinhartHart.through(points)
    assert refused.value.field == "points"


@pytest.mark.parametrize("coefficients", [(1e-3, -2e-4, 1e-7), (1e-3, 0, 1e-7), (math.nan, 2e-4, 1e-7)])
def test_coefficients_that_are_no_thermistor(coefficients):
    with pytest.raises(AmountProblem, match=r"thermistor|number"):
        SteinhartHart(*coefficients)


def test_coefficients_that_miss_every_resistance():
    with pytest.raises(AmountProblem, match="no resistance for 25"):
        SteinhartHart(0.1, 2e-4, 1e-7).resistance_ohm(25)


@nonsense
def test_a_resistance_that_is_none(value):
    for sensor in (BetaThermistor(10_000, 3977), SteinhartHart(1.129e-3, 2.341e-4, 8.767e-8), SensorTable(COOLANT)):
        with pytest.raises(AmountProblem) as refused:
            sensor.temperature_c(value)
        assert refused.value.field == "resistance_ohm"


@pytest.mark.parametrize("ohms", [1e-9, 1.0, 1e9])
def test_a_resistance_far_off_says_short_or_open(ohms):
    with pytest.raises(AmountProblem, match="short or an open circuit"):
        BetaThermistor(10_000, 3977).temperature_c(ohms)


@pytest.mark.parametrize("temperature", [-273.15, -300.0, 500.0, math.nan, math.inf])
def test_a_temperature_that_no_sensor_has(temperature):
    for sensor in (BetaThermistor(10_000, 3977), SteinhartHart(1.129e-3, 2.341e-4, 8.767e-8), SensorTable(COOLANT)):
        with pytest.raises(AmountProblem) as refused:
            sensor.resistance_ohm(temperature)
        assert refused.value.field == "temperature_c"


@pytest.mark.parametrize(
    ("arguments", "field"),
    [((0, 3977), "reference_ohm"), ((10_000, 3.977), "beta_k"), ((10_000, math.nan), "beta_k"),
     ((10_000, 3977, -273.15), "reference_c")],
)  # fmt: skip
def test_data_that_no_thermistor_has(arguments, field):
    with pytest.raises(AmountProblem) as refused:
        BetaThermistor(*arguments)
    assert refused.value.field == field


@pytest.mark.parametrize(("temperature", "ohms"), COOLANT)
def test_a_table_gives_its_own_entries_exactly(temperature, ohms):
    table = SensorTable(COOLANT[::-1])
    assert table.temperature_c(ohms) == temperature
    assert table.resistance_ohm(temperature) == ohms


@given(st.floats(-20, 120))
def test_a_table_goes_there_and_back(temperature):
    table = SensorTable(COOLANT)
    assert table.temperature_c(table.resistance_ohm(temperature)) == pytest.approx(temperature, abs=1e-8)


@given(st.floats(101, 28_600), st.floats(101, 28_600))
def test_a_table_is_monotone(one, other):
    table = SensorTable(COOLANT)
    less, more = sorted((one, other))
    assert table.temperature_c(less) >= table.temperature_c(more)


@given(betas, st.floats(-40, 80), st.floats(5, 40), st.floats(0, 1))
def test_between_two_entries_a_table_is_the_beta_equation(sensor, cold, apart, share):
    warm = cold + apart
    table = SensorTable([(cold, sensor.resistance_ohm(cold)), (warm, sensor.resistance_ohm(warm))])
    place = cold + share * (warm - cold)
    assert table.resistance_ohm(place) == pytest.approx(sensor.resistance_ohm(place), rel=1e-9)


def test_a_rising_table_is_straight():
    platinum = SensorTable([(100, 138.51), (0, 100.0)])
    assert not platinum.falls
    assert platinum.temperature_c(119.255) == pytest.approx(50)
    assert platinum.resistance_ohm(50) == pytest.approx(119.255)


@pytest.mark.parametrize(
    ("ohms", "words"),
    [(28_601, "colder than -20 °C, or an open circuit"), (100, "warmer than 120 °C, or a short")],
)
def test_outside_of_the_table_nothing_is_guessed(ohms, words):
    with pytest.raises(AmountProblem, match=words) as refused:
        SensorTable(COOLANT).temperature_c(ohms)
    assert refused.value.sentence.endswith("Outside of it nothing is guessed.")


def test_above_a_rising_table_it_is_warmer_or_open():
    with pytest.raises(AmountProblem, match="warmer than 100 °C, or an open circuit"):
        SensorTable([(100, 138.51), (0, 100.0)]).temperature_c(150)


@pytest.mark.parametrize("temperature", [-20.1, 120.1])
def test_no_resistance_outside_of_the_table(temperature):
    with pytest.raises(AmountProblem, match="from -20 to 120 °C"):
        SensorTable(COOLANT).resistance_ohm(temperature)


@pytest.mark.parametrize(
    ("entries", "words"),
    [
        ([(0, 100)], "two entries"),
        ([], "two entries"),
        ([(0, 100), (0, 90)], "twice"),
        ([(0, 100), (10, 90), (20, 95)], "does not fall from 10 to 20"),
        ([(0, 100), (10, 90), (20, 120)], "does not rise from 0 to 10"),
        ([(0, 100), (10, 100), (20, 90)], "from 0 to 10"),
        ([(0, 100), (10, 0)], "more than 0"),
        ([(-300, 100), (10, 50)], "absolute zero"),
        ([(math.nan, 100), (10, 50)], "absolute zero"),
    ],
)
def test_tables_that_are_none(entries, words):
    with pytest.raises(AmountProblem, match=words) as refused:
        SensorTable(entries)
    assert refused.value.field == "entries"


def test_an_entry_typed_wrongly_is_doubted_with_what_was_expected():
    slipped = [(celsius, 1640 if celsius == 40 else ohms) for celsius, ohms in COOLANT]
    (doubtful,) = [entry for entry in SensorTable(slipped).doubtful_entries(within_c=2) if entry.temperature_c == 40]
    assert doubtful.error_c == pytest.approx(-3, abs=0.5)
    assert doubtful.expected_ohm == pytest.approx(1490, abs=40)
    assert SensorTable(COOLANT).doubtful_entries(within_c=1) == ()


@given(st.floats(1, 1e6), st.floats(0.5, 30), st.floats(10, 100_000))
def test_a_divider_goes_there_and_back(ohms, supply, pull_up):
    volts = voltage_from_resistance(ohms, supply_v=supply, pull_up_ohm=pull_up)
    assume(volts < supply * 0.9999)
    assert resistance_from_voltage(volts, supply_v=supply, pull_up_ohm=pull_up) == pytest.approx(ohms, rel=1e-6)


@pytest.mark.parametrize(
    ("volts", "supply", "words", "field"),
    [
        (0, 5, "shorted to ground", "signal_v"),
        (5, 5, "the circuit is open", "signal_v"),
        (5.2, 5, "above the supply", "signal_v"),
        (-0.1, 5, "less than 0", "signal_v"),
        (math.nan, 5, "not a number", "signal_v"),
        (2.5, 0, "more than 0", "supply_v"),
    ],
)
def test_signals_without_a_resistance(volts, supply, words, field):
    with pytest.raises(AmountProblem, match=words) as refused:
        resistance_from_voltage(volts, supply_v=supply, pull_up_ohm=1000)
    assert refused.value.field == field


def test_a_short_is_no_voltage():
    assert voltage_from_resistance(0, supply_v=5, pull_up_ohm=1000) == 0
    with pytest.raises(AmountProblem):
        voltage_from_resistance(100, supply_v=5, pull_up_ohm=0)
