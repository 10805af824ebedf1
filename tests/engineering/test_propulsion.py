"""Propeller, power and fuel: what must hold for any figures, and what is refused."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engineering.amounts import AmountProblem, RangePosition
from engineering.propulsion import (
    advance_per_turn_in,
    advise_pitch,
    bsfc_g_per_kwh,
    compare_burn,
    fuel_burn_l_per_h,
    gear_ratio_from_rpm,
    gear_ratio_from_teeth,
    judge_full_throttle,
    judge_slip,
    power_from_burn_kw,
    power_kw,
    shaft_rpm,
    slip,
    theoretical_speed_m_s,
    torque_nm,
)

RPM = st.floats(300, 12_000)
PITCH = st.floats(5, 40)
RATIO = st.floats(0.5, 4)


@given(RPM, PITCH, RATIO, st.floats(0.01, 0.6))
def test_slip_gives_back_the_speed(rpm, pitch, ratio, fraction):
    speed = theoretical_speed_m_s(engine_rpm=rpm, pitch_in=pitch, gear_ratio=ratio) * (1 - fraction)
    measured = slip(engine_rpm=rpm, pitch_in=pitch, gear_ratio=ratio, speed_m_s=speed)
    assert measured.fraction == pytest.approx(fraction)
    assert not measured.is_negative
    # the advance for each turn is the pitch less the slip
    advance = advance_per_turn_in(engine_rpm=rpm, gear_ratio=ratio, speed_m_s=speed)
    assert advance == pytest.approx(pitch * (1 - fraction))


@given(RPM, PITCH, RATIO)
def test_speed_goes_up_with_rpm_and_pitch_and_down_with_ratio(rpm, pitch, ratio):
    speed = theoretical_speed_m_s(engine_rpm=rpm, pitch_in=pitch, gear_ratio=ratio)
    assert theoretical_speed_m_s(engine_rpm=2 * rpm, pitch_in=pitch, gear_ratio=ratio) == pytest.approx(2 * speed)
    assert theoretical_speed_m_s(engine_rpm=rpm, pitch_in=2 * pitch, gear_ratio=ratio) == pytest.approx(2 * speed)
    assert theoretical_speed_m_s(engine_rpm=rpm, pitch_in=pitch, gear_ratio=2 * ratio) == pytest.approx(speed / 2)


def test_a_boat_at_rest_slips_wholly():
    assert slip(engine_rpm=3000, pitch_in=19, gear_ratio=2, speed_m_s=0).fraction == 1


@pytest.mark.parametrize(
    ("fraction", "standing"),
    [(-0.02, "below"), (0.05, "below"), (0.10, "within"), (0.20, "within"), (0.25, "above"), (1.0, "above")],
)
def test_slip_against_the_usual_range(fraction, standing):
    full = theoretical_speed_m_s(engine_rpm=5000, pitch_in=20, gear_ratio=2)
    measured = slip(engine_rpm=5000, pitch_in=20, gear_ratio=2, speed_m_s=full * (1 - fraction))
    judged = judge_slip(measured, usual_low=0.10, usual_high=0.20)
    assert judged.standing == standing
    assert bool(judged.look_at) is (standing != "within")


@pytest.mark.parametrize(
    ("low", "high", "field"), [(0.2, 0.1, "usual_low"), (-0.1, 0.1, "usual_low"), (0.1, 1.0, "usual_high")]
)
def test_a_usual_range_without_sense_is_refused(low, high, field):
    measured = slip(engine_rpm=5000, pitch_in=20, gear_ratio=2, speed_m_s=10)
    with pytest.raises(AmountProblem) as refused:
        judge_slip(measured, usual_low=low, usual_high=high)
    assert refused.value.field == field


@given(RPM, RATIO)
def test_ratio_and_speed_of_the_shaft_agree(rpm, ratio):
    propeller = shaft_rpm(engine_rpm=rpm, gear_ratio=ratio)
    assert gear_ratio_from_rpm(engine_rpm=rpm, propeller_rpm=propeller) == pytest.approx(ratio)


def test_ratio_from_teeth():
    assert gear_ratio_from_teeth(driving_teeth=13, driven_teeth=24) == pytest.approx(1.846, abs=0.0005)


@pytest.mark.parametrize("value", [0, -1, float("nan"), float("inf")])
@pytest.mark.parametrize("name", ["engine_rpm", "pitch_in", "gear_ratio"])
def test_figures_without_sense_are_refused_by_name(name, value):
    good = {"engine_rpm": 5000, "pitch_in": 21, "gear_ratio": 1.5}
    with pytest.raises(AmountProblem) as refused:
        slip(**{**good, name: value}, speed_m_s=10)
    assert refused.value.field == name


def test_a_negative_speed_is_refused():
    with pytest.raises(AmountProblem, match="speed cannot be less than 0") as refused:
        slip(engine_rpm=5000, pitch_in=21, gear_ratio=1.5, speed_m_s=-1)
    assert refused.value.field == "speed_m_s"


# Full throttle and pitch


def _advise(measured: float, **other: float) -> object:
    figures = {
        "pitch_in": 21,
        "rated_low_rpm": 5000,
        "rated_high_rpm": 6000,
        "least_rpm_per_inch": 150,
        "most_rpm_per_inch": 200,
    }
    return advise_pitch(measured_rpm=measured, **{**figures, **other})


def test_too_slow_takes_less_pitch_and_too_fast_more():
    slow, fast = _advise(4600), _advise(6400)
    assert slow.largest_in < 21 < fast.smallest_in
    assert slow.by_proportion_in < 21 < fast.by_proportion_in
    assert (slow.target_rpm, fast.target_rpm) == (5500, 5500)


def test_in_range_the_pitch_stays():
    advice = _advise(5100)
    assert advice.full_throttle.standing is RangePosition.WITHIN
    assert advice.sizes_in == (21,)


def test_a_target_of_its_own():
    # 300 rpm short of the top of the range: 1.5 to 2 in less
    advice = _advise(5700, target_rpm=6000)
    assert (advice.smallest_in, advice.largest_in) == (pytest.approx(19), pytest.approx(19.5))
    with pytest.raises(AmountProblem) as refused:
        _advise(4000, target_rpm=6100)
    assert refused.value.field == "target_rpm"


def test_sizes_are_those_sold():
    assert _advise(4600).sizes_in == (15, 16)  # 15.0 to 16.5 in
    assert _advise(4600, step_in=2).sizes_in == (15,)  # from 21 in down
    assert len(_advise(4600, step_in=1e-9).sizes_in) == 5
    assert _advise(4600, pitch_in=21.4, least_rpm_per_inch=190, step_in=2).sizes_in == (16, 18)  # 16.7 to 16.9 in


def test_no_size_is_offered_that_takes_the_engine_beyond_its_range():
    # by the rule 19 in would make 5900 to 6000 rpm, above 5800 to 5900; 21 in is what is fitted
    assert _advise(5600, step_in=2, rated_low_rpm=5800, rated_high_rpm=5900).sizes_in == ()
    assert _advise(6300, rated_low_rpm=5900, rated_high_rpm=6100).sizes_in == (23,)


@given(st.floats(2500, 8000), st.floats(12, 30), st.floats(4000, 6000), st.floats(0, 1500))
def test_advice_always_goes_the_right_way(measured, pitch, low, width):
    try:
        advice = _advise(measured, pitch_in=pitch, rated_low_rpm=low, rated_high_rpm=low + width)
    except AmountProblem as refused:
        assert "cannot be the whole answer" in refused.sentence  # noqa: PT017 - either the one or the other
        return
    assert 0 < advice.smallest_in <= advice.largest_in
    assert all(size > 0 for size in advice.sizes_in)
    if advice.full_throttle.standing is RangePosition.BELOW:
        assert advice.largest_in <= pitch
    if advice.full_throttle.standing is RangePosition.ABOVE:
        assert advice.smallest_in >= pitch


def test_a_run_on_the_limiter_advises_nothing():
    run = judge_full_throttle(measured_rpm=6200, rated_low_rpm=5000, rated_high_rpm=6000, limiter_rpm=6200)
    assert run.on_the_limiter
    assert "not known" in run.sentence
    with pytest.raises(AmountProblem, match="limiter") as refused:
        _advise(6200, limiter_rpm=6200)
    assert refused.value.field == "measured_rpm"
    assert not judge_full_throttle(
        measured_rpm=6100, rated_low_rpm=5000, rated_high_rpm=6000, limiter_rpm=6200
    ).on_the_limiter


@pytest.mark.parametrize(
    ("wrong", "field"),
    [
        ({"pitch_in": 0}, "pitch_in"),
        ({"step_in": 0}, "step_in"),
        ({"step_in": 22}, "step_in"),
        ({"least_rpm_per_inch": 0}, "least_rpm_per_inch"),
        ({"least_rpm_per_inch": 300}, "least_rpm_per_inch"),
        ({"rated_low_rpm": 7000}, "rated_low_rpm"),
        ({"rated_high_rpm": float("nan")}, "rated_high_rpm"),
        ({"limiter_rpm": -1}, "limiter_rpm"),
        ({"pitch_in": 3}, "measured_rpm"),
    ],
)
def test_pitch_advice_refuses_what_has_no_sense(wrong, field):
    with pytest.raises(AmountProblem) as refused:
        _advise(4000, **wrong)
    assert refused.value.field == field


# Power and fuel


@given(st.floats(0, 5000), RPM)
def test_power_and_torque_are_each_others_way_back(torque, rpm):
    assert torque_nm(power_kw=power_kw(torque_nm=torque, rpm=rpm), rpm=rpm) == pytest.approx(torque)


@given(st.floats(1, 2000), st.floats(150, 500), st.floats(0.6, 1.0))
def test_burn_consumption_and_power_are_each_others_way_back(kw, grams, density):
    burn = fuel_burn_l_per_h(power_kw=kw, bsfc_g_per_kwh=grams, density_kg_per_l=density)
    assert bsfc_g_per_kwh(burn_l_per_h=burn, power_kw=kw, density_kg_per_l=density) == pytest.approx(grams)
    assert power_from_burn_kw(burn_l_per_h=burn, bsfc_g_per_kwh=grams, density_kg_per_l=density) == pytest.approx(kw)


@pytest.mark.parametrize(
    ("measured", "standing"), [(89.9, "below"), (90, "within"), (110, "within"), (110.1, "above"), (0, "below")]
)
def test_burn_against_what_was_expected(measured, standing):
    compared = compare_burn(measured_l_per_h=measured, expected_l_per_h=100, tolerance=0.1)
    assert compared.standing == standing
    assert compared.difference == pytest.approx(measured / 100 - 1)
    assert bool(compared.look_at) is (standing != "within")


@pytest.mark.parametrize(
    ("call", "field"),
    [
        (lambda: power_kw(torque_nm=-1, rpm=1000), "torque_nm"),
        (lambda: power_kw(torque_nm=1, rpm=0), "rpm"),
        (lambda: torque_nm(power_kw=float("nan"), rpm=1000), "power_kw"),
        (lambda: fuel_burn_l_per_h(power_kw=-1, bsfc_g_per_kwh=250, density_kg_per_l=0.8), "power_kw"),
        (lambda: fuel_burn_l_per_h(power_kw=1, bsfc_g_per_kwh=0, density_kg_per_l=0.8), "bsfc_g_per_kwh"),
        (lambda: fuel_burn_l_per_h(power_kw=1, bsfc_g_per_kwh=250, density_kg_per_l=0), "density_kg_per_l"),
        (lambda: bsfc_g_per_kwh(burn_l_per_h=10, power_kw=0, density_kg_per_l=0.8), "power_kw"),
        (lambda: power_from_burn_kw(burn_l_per_h=-1, bsfc_g_per_kwh=250, density_kg_per_l=0.8), "burn_l_per_h"),
        (lambda: compare_burn(measured_l_per_h=1, expected_l_per_h=0, tolerance=0.1), "expected_l_per_h"),
        (lambda: compare_burn(measured_l_per_h=1, expected_l_per_h=1, tolerance=-0.1), "tolerance"),
        (lambda: gear_ratio_from_teeth(driving_teeth=0, driven_teeth=24), "driving_teeth"),
        (lambda: gear_ratio_from_rpm(engine_rpm=1, propeller_rpm=0), "propeller_rpm"),
        (lambda: advance_per_turn_in(engine_rpm=1, gear_ratio=1, speed_m_s=-1), "speed_m_s"),
    ],
)
def test_power_and_fuel_refuse_what_has_no_sense(call, field):
    with pytest.raises(AmountProblem) as refused:
        call()
    assert refused.value.field == field


def test_sizes_are_counted_from_the_propeller_that_is_fitted():
    advice = advise_pitch(
        measured_rpm=5200, pitch_in=17, rated_low_rpm=5500, rated_high_rpm=6000, step_in=2,
        least_rpm_per_inch=150, most_rpm_per_inch=200,
    )  # fmt: skip
    assert all((17 - size) % 2 == 0 for size in advice.sizes_in)
    assert advice.sizes_in
