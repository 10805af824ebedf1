"""Propeller, power and fuel against published worked examples, to the figures that each source prints."""

from decimal import Decimal

import pytest

from engineering.amounts import RangePosition
from engineering.measures import convert
from engineering.propulsion import (
    TYPICAL_FUELS,
    advise_pitch,
    bsfc_g_per_kwh,
    fuel_burn_l_per_h,
    judge_full_throttle,
    judge_slip,
    power_from_burn_kw,
    power_kw,
    slip,
    theoretical_speed_m_s,
    torque_nm,
)
from tests.published.printed import as_printed


def _to(value: float, unit: str, other: str) -> float:
    return float(convert(Decimal(repr(value)), unit, other))


def _mph(rpm: float, pitch_in: float, ratio: float) -> float:
    return _to(theoretical_speed_m_s(engine_rpm=rpm, pitch_in=pitch_in, gear_ratio=ratio), "m/s", "mph")


# Hobby reference "Propeller performance", its table: engine rpm for each mph, by pitch and gear ratio
RATIOS = (2.30, 2.08, 2.00, 1.87, 1.86, 1.81, 1.75, 1.62)
RPM_PER_MPH = {
    17: ("142.9", "129.2", "124.2", "116.2", "115.5", "112.4", "108.7", "100.6"),
    19: ("127.8", "115.6", "111.2", "103.9", "103.4", "100.6", "97.3", "90.0"),
    20: ("121.4", "109.8", "105.6", "98.7", "98.2", "95.6", "92.4", "85.5"),
    21: ("115.7", "104.6", "100.6", "94.0", "93.5", "91.0", "88.0", "81.5"),
}


@pytest.mark.parametrize(
    ("pitch_in", "ratio", "printed"),
    [(pitch, ratio, text) for pitch, row in RPM_PER_MPH.items() for ratio, text in zip(RATIOS, row, strict=True)],
)
def test_engine_rpm_for_each_mph(pitch_in, ratio, printed):
    # the source multiplies rounded figures, so its last place may be one off
    assert 1000 / _mph(1000, pitch_in, ratio) == pytest.approx(float(printed), abs=0.1)


@pytest.mark.parametrize(
    ("pitch_in", "revolutions"), [(17, "3727"), (19, "3335"), (20, "3168"), (21, "3017"), (22, "2880")]
)
def test_revolutions_for_each_mile(pitch_in, revolutions):
    # the same table
    assert 60 * 1000 / _mph(1000, pitch_in, 1) == as_printed(revolutions)


def test_slip_of_the_hobby_reference():
    # the same reference, its example: 25 in, 1.86:1, 6000 rpm, 68 mph. It prints 76.3 mph and 10.9 % by way of the
    # rounded constant 78.6; the exact figures are 76.37 and 10.96.
    assert _mph(6000, 25, 1.86) == as_printed("76.37")
    measured = slip(engine_rpm=6000, pitch_in=25, gear_ratio=1.86, speed_m_s=_to(68, "mph", "m/s"))
    assert 100 * measured.fraction == as_printed("10.96")


@pytest.mark.parametrize(
    ("rpm", "pitch_in", "ratio", "speed_mph", "mph", "percent", "wrong_mph", "wrong_percent"),
    [
        # a web calculator's two examples, whose printed arithmetic is wrong; ours is recomputed from its own formula
        (5000, 21, 1.5, 50, "66.288", "24.57", "66.67", "25.00"),
        (5500, 23, 1.6, 60, "74.870", "19.86", "75.00", "20.00"),
    ],
)
def test_we_do_not_repeat_a_calculators_mistake(
    rpm, pitch_in, ratio, speed_mph, mph, percent, wrong_mph, wrong_percent
):
    measured = slip(engine_rpm=rpm, pitch_in=pitch_in, gear_ratio=ratio, speed_m_s=_to(speed_mph, "mph", "m/s"))
    assert _to(measured.theoretical_m_s, "m/s", "mph") == as_printed(mph)
    assert 100 * measured.fraction == as_printed(percent)
    assert _to(measured.theoretical_m_s, "m/s", "mph") != as_printed(wrong_mph)
    assert 100 * measured.fraction != as_printed(wrong_percent)


def test_a_slip_below_zero_is_said_and_not_hidden():
    # rib owners' forum, thread on propeller slip: 5400 rpm, 2:1, 18 in give 46 mph, yet 47 were measured
    measured = slip(engine_rpm=5400, pitch_in=18, gear_ratio=2, speed_m_s=_to(47, "mph", "m/s"))
    assert _to(measured.theoretical_m_s, "m/s", "mph") == as_printed("46")
    assert measured.is_negative
    judged = judge_slip(measured, usual_low=0.10, usual_high=0.20)
    assert judged.standing is RangePosition.BELOW
    assert "figures is wrong" in judged.sentence


def test_the_trades_constant():
    # mph = rpm · pitch / (ratio · 1056): the reference above, and a propeller calculator's page; 1056 = 63360 / 60
    assert _mph(1056, 10, 1) == pytest.approx(10, rel=1e-12)


def test_knots_have_a_constant_of_their_own():
    # 1852 m a nautical mile (exact), so 1852 / 0.0254 / 60 = 1215.2231
    knots = _to(theoretical_speed_m_s(engine_rpm=1215.2231, pitch_in=10, gear_ratio=1), "m/s", "kn")
    assert knots == pytest.approx(10, rel=1e-7)


@pytest.mark.parametrize(
    ("measured", "standing", "off"),
    [
        # a propeller shop's advice, its example: rated 4850 to 5850, reaches 4600: too much pitch
        (4600, RangePosition.BELOW, 250),
        (4850, RangePosition.WITHIN, 0),
        (5850, RangePosition.WITHIN, 0),
        (5851, RangePosition.ABOVE, 1),
    ],
)
def test_full_throttle_against_the_rated_range(measured, standing, off):
    run = judge_full_throttle(measured_rpm=measured, rated_low_rpm=4850, rated_high_rpm=5850)
    assert (run.standing, run.off_rpm) == (standing, off)


def test_over_and_under_propped():
    # engine makers' rule (common practice): below the range too much load or too little power, above it too little load
    # or slip; a boating journalist's article of 2016 uses the same two words
    low = judge_full_throttle(measured_rpm=4000, rated_low_rpm=5000, rated_high_rpm=6000)
    high = judge_full_throttle(measured_rpm=6300, rated_low_rpm=5000, rated_high_rpm=6000)
    assert "less pitch" in " ".join(low.look_at)
    assert "more pitch" in " ".join(high.look_at)


def test_back_pressure_looks_like_too_much_pitch():
    # a marine consultant's letter of December 2017: reducing pitch masks an exhaust that holds the engine back
    run = judge_full_throttle(measured_rpm=4000, rated_low_rpm=5000, rated_high_rpm=6000)
    causes = " ".join(run.look_at)
    assert causes.index("back-pressure") < causes.index("less pitch")


@pytest.mark.parametrize("drop", [300, 400])
def test_two_inches_of_pitch_take_three_to_four_hundred_rpm(drop):
    # a marine parts dealer's guide: from 21 to 23 in, about 300 to 400 rpm less; several shops: 150 to 200 an inch
    advice = advise_pitch(
        measured_rpm=6000 + drop, pitch_in=21, rated_low_rpm=6000, rated_high_rpm=6000, least_rpm_per_inch=150,
        most_rpm_per_inch=200,
    )  # fmt: skip
    assert advice.smallest_in <= 23 <= advice.largest_in
    assert 23 in advice.sizes_in


@pytest.mark.parametrize(
    ("hp", "rpm", "printed"),
    [
        (300, 3500, "450.181"),  # recomputed: 5252.113 · hp / rpm
        (300, 6200, "254"),  # a tuner's page of formulas, its example
        (100, 5252.113, "100.000"),  # where the two numbers meet
    ],
)
def test_torque_of_a_power(hp, rpm, printed):
    newton_meters = torque_nm(power_kw=_to(hp, "hp", "kW"), rpm=rpm)
    assert _to(newton_meters, "N.m", "ft.lbf") == as_printed(printed)
    assert _to(power_kw(torque_nm=newton_meters, rpm=rpm), "kW", "hp") == pytest.approx(hp, rel=1e-9)


def _gph(hp: float, bsfc: float, lb_per_gal: float) -> float:
    burn = fuel_burn_l_per_h(
        power_kw=_to(hp, "hp", "kW"),
        bsfc_g_per_kwh=_to(bsfc, "lb/hp.h", "g/kW.h"),
        density_kg_per_l=_to(lb_per_gal, "lb/gal", "kg/L"),
    )
    return _to(burn, "L/h", "gal/h")


@pytest.mark.parametrize(
    ("hp", "bsfc", "lb_per_gal", "printed"),
    [
        # general reference article on fuel burn: 200 hp, gasoline and diesel
        (200, 0.50, 6.1, "16.4"), (200, 0.40, 7.2, "11.1"),
        # the same, recomputed to more figures
        (200, 0.50, 6.1, "16.393"), (200, 0.40, 7.2, "11.111"),
        # a calculator's reference: 400 hp gasoline
        (400, 0.50, 6.1, "32.787"),
        # computed from the same rule
        (300, 0.50, 6.1, "24.590"), (300, 0.40, 7.2, "16.667"),
    ],
)  # fmt: skip
def test_fuel_burn(hp, bsfc, lb_per_gal, printed):
    assert _gph(hp, bsfc, lb_per_gal) == as_printed(printed)


def test_the_figures_to_start_from():
    # common practice, repeated in several boating articles: gasoline 0.50 lb/hp·h and 6.1 lb/gal, diesel 0.40 and 7.2
    figures = {fuel.name: (fuel.bsfc_lb_per_hp_h, fuel.density_lb_per_gal) for fuel in TYPICAL_FUELS}
    assert figures == {"gasoline": (0.50, 6.1), "diesel": (0.40, 7.2)}
    assert all("common practice" in fuel.source for fuel in TYPICAL_FUELS)


def test_specific_consumption_of_a_turbocharged_engine():
    # a calculator's worked example: 30,000 g/h at 120 kW are 250 g/kWh, 0.411 lb/hp·h
    grams = bsfc_g_per_kwh(burn_l_per_h=30_000 / 740, power_kw=120, density_kg_per_l=0.740)
    assert grams == as_printed("250")
    assert _to(grams, "g/kW.h", "lb/hp.h") == as_printed("0.411")


def test_specific_consumption_on_a_test_bench():
    # a professor's textbook on racing engines, its example: 120 PS, 600 cm³/min, specific gravity 0.74: 222 g/PS·h
    grams = bsfc_g_per_kwh(burn_l_per_h=0.600 * 60, power_kw=_to(120, "PS", "kW"), density_kg_per_l=0.74)
    assert grams * 0.73549875 == as_printed("222")
    back = power_from_burn_kw(burn_l_per_h=36, bsfc_g_per_kwh=grams, density_kg_per_l=0.74)
    assert _to(back, "kW", "PS") == as_printed("120")


@pytest.mark.parametrize(
    ("value", "unit", "other", "printed"),
    [
        # encyclopedia article "Brake-specific fuel consumption": factor 608.277
        (1, "lb/hp.h", "g/kW.h", "608.277"),
        # recomputed with Pint 0.24
        (0.50, "lb/hp.h", "g/kW.h", "304.139"), (0.40, "lb/hp.h", "g/kW.h", "243.311"),
        (6.1, "lb/gal", "kg/L", "0.73094"), (7.2, "lb/gal", "kg/L", "0.86275"), (7.1, "lb/gal", "kg/L", "0.85077"),
    ],
)  # fmt: skip
def test_units_of_power_and_fuel(value, unit, other, printed):
    assert _to(value, unit, other) == as_printed(printed)
