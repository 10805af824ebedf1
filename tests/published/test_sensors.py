"""Sensors against published tables, data sheets and worked examples. Each source stands beside its check."""

import pytest

from engineering.sensors.bands import Band
from engineering.sensors.current_loop import CurrentLoop, band_of
from engineering.sensors.divider import resistance_from_voltage, voltage_from_resistance
from engineering.sensors.level_sender import AMERICAN, EUROPEAN, SenderState, straight_sender
from engineering.sensors.position import ground_drop_check, signal_check, supply_check, travel_fraction
from engineering.sensors.ratiometric import RatiometricTransducer
from engineering.sensors.steinhart_hart import SteinhartHart
from engineering.sensors.thermistor import BetaThermistor
from engineering.sensors.thermistor_table import SensorTable

LASER_DIODE_MANUAL = [(0, 32128), (10, 19549), (20, 12262), (25, 9814), (30, 7908), (50, 3542)]
"""A laser-diode controller's manual, Appendix A "Steinhart–Hart equation", Table A.1, without its 40 °C entry."""
MISPRINTED = (40, 5331)
"""The 40 °C entry of the same table."""
TEN_K_TYPE_2 = [(0, 32_650), (25, 10_000), (50, 3603)]
"""The usual points of a "10k type II" thermistor (from memory)."""


# Steinhart–Hart


@pytest.mark.parametrize(("resistance", "celsius"), [(10_000, 25.000), (32_650, 0.000), (3603, 49.986)])
def test_coefficients_of_a_data_sheet(resistance, celsius):
    # An analog temperature module's data sheet prints A, B and C; the points are those of TEN_K_TYPE_2
    sensor = SteinhartHart(0.001129148, 0.000234125, 8.76741e-8)
    assert sensor.temperature_c(resistance) == pytest.approx(celsius, abs=0.0005)


@pytest.mark.parametrize(("celsius", "resistance"), TEN_K_TYPE_2)
def test_coefficients_with_more_figures(celsius, resistance):
    # Coefficients from memory, which give the type II points to a thousandth of a degree
    sensor = SteinhartHart(1.125308852122e-3, 2.34711863267e-4, 8.5663516e-8)
    assert sensor.temperature_c(resistance) == pytest.approx(celsius, abs=0.0005)
    assert sensor.resistance_ohm(celsius) == pytest.approx(resistance, rel=2e-5)


def test_coefficients_through_three_points_of_a_published_table():
    # Laser-diode controller manual, Table A.1, through 0, 25 and 50 °C
    sensor = SteinhartHart.through([(0, 32128), (25, 9814), (50, 3542)])
    assert sensor.a == pytest.approx(1.10415912e-3, rel=1e-8)
    assert sensor.b == pytest.approx(2.38917947e-4, rel=1e-8)
    assert sensor.c == pytest.approx(6.93162653e-8, rel=1e-8)


@pytest.mark.parametrize(("celsius", "resistance", "residual"), [
    (0, 32128, 0), (10, 19549, 0.0001), (20, 12262, -0.0006), (25, 9814, 0), (30, 7908, -0.0022), (50, 3542, 0),
])  # fmt: skip
def test_the_equation_meets_the_rest_of_the_table(celsius, resistance, residual):
    # The same table; the manual claims errors below 0.01 °C
    sensor = SteinhartHart.through([(0, 32128), (25, 9814), (50, 3542)])
    error = sensor.temperature_c(resistance) - celsius
    assert abs(error) < 0.01
    assert error == pytest.approx(residual, abs=0.00006)


def test_the_misprinted_entry_of_the_table_is_off_by_half_a_degree():
    # The same table prints 5331 Ω at 40 °C; the fit gives 5230.7 Ω
    sensor = SteinhartHart.through([(0, 32128), (25, 9814), (50, 3542)])
    assert sensor.resistance_ohm(40) == pytest.approx(5230.7, abs=0.05)
    assert sensor.temperature_c(5331) == pytest.approx(40 - 0.47, abs=0.005)


def test_the_misprinted_entry_is_named_and_no_other():
    doubtful = SensorTable([*LASER_DIODE_MANUAL, MISPRINTED]).doubtful_entries()
    assert [(entry.temperature_c, entry.resistance_ohm) for entry in doubtful] == [MISPRINTED]
    assert doubtful[0].expected_ohm == pytest.approx(5230.7, rel=0.002)
    assert SensorTable(LASER_DIODE_MANUAL).doubtful_entries() == ()


# Beta


@pytest.mark.parametrize(("celsius", "resistance"), [(0, 33_900.4), (50, 3563.1), (85, 1070.3), (25, 10_000)])
def test_beta_of_a_common_thermistor(celsius, resistance):
    # 10 kΩ with B25/85 = 3977 K, a common data sheet line; values by thermistor-utils 0.0.4 as well
    sensor = BetaThermistor(10_000, 3977)
    assert sensor.resistance_ohm(celsius) == pytest.approx(resistance, abs=0.05)
    assert sensor.temperature_c(resistance) == pytest.approx(celsius, abs=0.002)


def test_beta_between_two_points_of_a_table():
    # Laser-diode controller manual, Table A.1: 9814 Ω at 25 °C and 3542 Ω at 50 °C; by the makers' formula
    # B = ln(R1/R2) / (1/T1 − 1/T2) that is 3928 K
    sensor = BetaThermistor(9814, 3928)
    assert sensor.resistance_ohm(50) == pytest.approx(3542, abs=1)
    assert sensor.temperature_c(3542) == pytest.approx(50, abs=0.01)


def test_beta_is_worse_than_three_coefficients_over_a_wide_range():
    # The reason to prefer Steinhart–Hart: B25/50 of the same table misses its 0 °C entry by more than 0.3 °C
    by_beta = BetaThermistor(9814, 3928)
    assert abs(by_beta.temperature_c(32128)) > 0.3
    assert abs(SteinhartHart.through([(0, 32128), (25, 9814), (50, 3542)]).temperature_c(32128)) < 1e-9


# A maker's table


@pytest.mark.parametrize(("celsius", "resistance"), [(10, 19549), (20, 12262), (30, 7908)])
def test_interpolation_over_a_thinned_table(celsius, resistance):
    # The same table thinned to 0, 25 and 50 °C gives its other entries back to a tenth of a degree
    thinned = SensorTable([(0, 32128), (25, 9814), (50, 3542)])
    assert thinned.temperature_c(resistance) == pytest.approx(celsius, abs=0.1)


def test_straight_lines_between_resistances_would_be_wrong_by_degrees():
    # The same table thinned to 0 and 20 °C: its entry at 10 °C is 19549 Ω
    straight = 20 * (32128 - 19549) / (32128 - 12262)
    assert straight == pytest.approx(12.66, abs=0.005)
    assert SensorTable([(0, 32128), (20, 12262)]).temperature_c(19549) == pytest.approx(9.96, abs=0.005)


@pytest.mark.parametrize(("celsius", "resistance"), [(0, 100.00), (50, 119.40), (100, 138.51), (200, 175.86)])
def test_platinum_between_the_hundreds(celsius, resistance):
    # Pt100, IEC 60751 (from memory). Straight between 0, 100 and 200 °C is good to 0.4 °C
    table = SensorTable([(0, 100.00), (100, 138.51), (200, 175.86)])
    assert table.temperature_c(resistance) == pytest.approx(celsius, abs=0.4)


# Voltage divider


@pytest.mark.parametrize(("volts", "ohms", "tolerance"), [(2.5, 1000, 1e-9), (0.5, 111.11, 0.005)])
def test_divider(volts, ohms, tolerance):
    # R = Rp·V/(Vs − V) with 5 V and 1 kΩ: computed by the divider rule
    assert resistance_from_voltage(volts, supply_v=5, pull_up_ohm=1000) == pytest.approx(ohms, abs=tolerance)
    assert voltage_from_resistance(ohms, supply_v=5, pull_up_ohm=1000) == pytest.approx(volts, abs=2e-5)


# Ratiometric transducers: 0.5 to 4.5 V of 5 V, common data sheet line


@pytest.mark.parametrize(("volts", "psi"), [(0.5, 0), (1.5, 25), (2.5, 50), (3.5, 75), (4.5, 100)])
def test_ratiometric_pressure(volts, psi):
    # p = Pmax·(V/Vs − 0.1)/0.8, computed
    transducer = RatiometricTransducer(0, 100)
    reading = transducer.read(volts, supply_v=5)
    assert reading.value == pytest.approx(psi, abs=1e-9)
    assert reading.band is Band.IN_RANGE
    assert transducer.signal_v(psi, supply_v=5) == pytest.approx(volts)


def test_a_low_supply_does_not_fool_a_ratiometric_reading():
    # 2.4 V at a supply of 4.8 V is 50.0 psi; taking the supply for 5 V gives 47.5
    transducer = RatiometricTransducer(0, 100)
    assert transducer.read(2.4, supply_v=4.8).value == pytest.approx(50.0)
    assert transducer.read(2.4, supply_v=5.0).value == pytest.approx(47.5)


# Current loops


@pytest.mark.parametrize(("milliamps", "bar"), [(4, 0), (8, 2.5), (12, 5), (16, 7.5), (20, 10)])
def test_current_loop(milliamps, bar):
    # x = lo + (I − 4)/16·(hi − lo), 0 to 10 bar, computed
    loop = CurrentLoop(0, 10)
    assert loop.read(milliamps).value == pytest.approx(bar)
    assert loop.current_ma(bar) == pytest.approx(milliamps)


@pytest.mark.parametrize(("low", "high", "milliamps", "value", "decimals"), [
    # an instrumentation tutorial, "Formula to calculate 3–15 psi from 4–20 mA current": 17.5 mA is 13.125 psi
    (3, 15, 17.5, 13.125, 3),
    # an automation forum's article, "4–20 mA signal to 3–15 psi signal conversion": 12.2 mA is 9.15 psi
    (3, 15, 12.2, 9.15, 2),
])  # fmt: skip
def test_current_loop_worked_examples(low, high, milliamps, value, decimals):
    assert round(CurrentLoop(low, high).read(milliamps).value, decimals) == value


@pytest.mark.parametrize(("low", "high", "value", "milliamps", "decimals"), [
    # an instrumentation tutorial, "Example of 3–15 psi to 4–20 mA conversion", a reverse-acting transducer
    (15, 3, 12.7, 7.07, 2),
    # an instrumentation forum, "Process variable conversions": 20 to 2175.5 psi, 515 psi
    (20, 2175.5, 515, 7.67432, 5),
])  # fmt: skip
def test_current_for_a_value_worked_examples(low, high, value, milliamps, decimals):
    assert round(CurrentLoop(low, high).current_ma(value), decimals) == milliamps


@pytest.mark.parametrize(("milliamps", "band"), [
    (0.0, Band.FAULT_LOW), (3.59, Band.FAULT_LOW), (3.6, Band.FAULT_LOW), (3.8, Band.BELOW_RANGE),
    (3.99, Band.BELOW_RANGE), (4.0, Band.IN_RANGE), (20.0, Band.IN_RANGE), (20.01, Band.ABOVE_RANGE),
    (20.5, Band.ABOVE_RANGE), (21.0, Band.FAULT_HIGH), (22.5, Band.FAULT_HIGH),
])  # fmt: skip
def test_namur_bands(milliamps, band):
    # NAMUR NE 43 as summarized in four independent articles: valid 3.8–20.5 mA, failure at most 3.6 or at least 21.0 mA
    assert band_of(milliamps) is band
    assert CurrentLoop(0, 10).read(milliamps).band is band


@pytest.mark.parametrize("milliamps", [3.61, 3.7, 3.79, 20.51, 20.75, 20.99])
def test_between_valid_and_failure_there_is_no_value(milliamps):
    # Some articles on NE 43 count 3.6–4.0 and 20–21 mA as under- and over-range; others as neither. No value is given
    reading = CurrentLoop(0, 10).read(milliamps)
    assert reading.value is None
    assert reading.band not in (Band.FAULT_LOW, Band.FAULT_HIGH)
    assert "Some call it" in reading.sentence


# Level senders


@pytest.mark.parametrize(("empty", "full", "ohms", "percent"), [
    # computed, 240 to 33.5 Ω and 10 to 180 Ω
    (240, 33.5, 188.375, 25), (240, 33.5, 136.75, 50), (240, 33.5, 85.125, 75),
    (10, 180, 52.5, 25), (10, 180, 95, 50), (10, 180, 137.5, 75),
])  # fmt: skip
def test_straight_senders(empty, full, ohms, percent):
    sender = straight_sender(empty, full)
    assert sender.read(ohms).fraction == pytest.approx(percent / 100)
    assert sender.resistance_ohm(percent / 100) == pytest.approx(ohms)


@pytest.mark.parametrize(("fraction", "ohms"), [(0, 0), (0.25, 48), (0.5, 95), (0.75, 143), (1, 190)])
def test_a_sellers_help_page_on_0_to_190_ohms(fraction, ohms):
    # A marine gauge seller's question page, printed to the nearest ohm
    assert straight_sender(0, 190).resistance_ohm(fraction) == pytest.approx(ohms, abs=0.51)


@pytest.mark.parametrize(("fraction", "ohms"), [(0, 240), (0.25, 188), (0.5, 136), (0.75, 84), (1, 33)])
def test_a_sellers_help_page_on_240_to_33_ohms(fraction, ohms):
    # The same page lists these under full to empty; its own text says 240 Ω when empty, so its list is upside down
    assert straight_sender(240, 33).resistance_ohm(fraction) == pytest.approx(ohms, abs=1)


@pytest.mark.parametrize(("fraction", "ohms"), [(0, 240), (0.5, 103), (1, 33)])
def test_the_usual_gauge_has_half_scale_at_103_ohms(fraction, ohms):
    # A boating forum, "Tank sender and trim sender resistance": 33 full, 103 half, 240 empty
    assert AMERICAN.resistance_ohm(fraction) == ohms
    assert AMERICAN.read(ohms).fraction == pytest.approx(fraction)


def test_half_scale_is_far_from_half_of_the_resistance():
    # 103 Ω taken as a straight sender's would be 66.3 % (computed with 33.5 Ω full: 66.3)
    assert straight_sender(240, 33.5).read(103).fraction == pytest.approx(0.663, abs=0.0005)
    assert AMERICAN.read(103).fraction == 0.5


@pytest.mark.parametrize(("ohms", "low", "high"), [
    # the same forum, resistors standing in for a sender and what the gauge should then show
    (68.75, 0.5, 1.0), (100, 0.5, 0.55), (133, 0.0, 0.5), (220, 0.0, 0.1), (253, 0.0, 0.0),
])  # fmt: skip
def test_resistors_in_place_of_a_sender(ohms, low, high):
    assert low <= AMERICAN.read(ohms).fraction <= high


@pytest.mark.parametrize(("sender", "ohms", "state"), [
    # ends as sender makers' help pages name them: full 33, 33.5 or 30 Ω; empty 10 or 0 Ω and full 180 or 190 Ω
    (AMERICAN, 33, SenderState.READS), (AMERICAN, 33.5, SenderState.READS), (AMERICAN, 30, SenderState.BEYOND_FULL),
    (AMERICAN, 240, SenderState.READS), (AMERICAN, 250, SenderState.BEYOND_EMPTY),
    (EUROPEAN, 10, SenderState.READS), (EUROPEAN, 0, SenderState.BEYOND_EMPTY),
    (EUROPEAN, 180, SenderState.READS), (EUROPEAN, 190, SenderState.BEYOND_FULL),
    # 240 Ω and 10 % more; 320 Ω is a published case of a failed sender
    (AMERICAN, 264, SenderState.BEYOND_EMPTY), (AMERICAN, 265, SenderState.OPEN), (AMERICAN, 320, SenderState.OPEN),
    (AMERICAN, 0, SenderState.SHORTED), (EUROPEAN, 320, SenderState.OPEN),
])  # fmt: skip
def test_sender_states(sender, ohms, state):
    reading = sender.read(ohms)
    assert reading.state is state
    assert (reading.fraction is None) is (state in (SenderState.OPEN, SenderState.SHORTED))


# Position sensors


@pytest.mark.parametrize(("volts", "is_good"), [(0.0, True), (0.2, True), (0.21, False), (-0.3, False)])
def test_ground_of_a_throttle_position_sensor(volts, is_good):
    # An automotive engine performance textbook, chapter 12, caption 12.6: more than 0.2 V is a bad ground
    assert ground_drop_check(volts).is_good is is_good


@pytest.mark.parametrize(("volts", "is_good"), [(5.0, True), (4.9, True), (0.0, False), (2.6, False), (12.4, False)])
def test_five_volts_at_the_supply_wire(volts, is_good):
    # Key on, connector unplugged: 5 V. Common practice, no source
    assert supply_check(volts).is_good is is_good


@pytest.mark.parametrize(("volts", "is_good"), [(0.19, False), (0.5, True), (4.5, True), (4.81, False)])
def test_signal_out_of_range(volts, is_good):
    # A vehicle maker's conditions for a pedal position code: below 0.2 V or above 4.8 V
    assert signal_check(volts, supply_v=5).is_good is is_good


def test_throttle_travel():
    # A published specification: 0.5 V closed, 4.5 V wide open. Half of the travel is then 2.5 V
    assert travel_fraction(0.5, rest_v=0.5, end_v=4.5) == 0
    assert travel_fraction(4.5, rest_v=0.5, end_v=4.5) == 1
    assert travel_fraction(2.5, rest_v=0.5, end_v=4.5) == 0.5
