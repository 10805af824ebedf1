"""Leak-down, exhaust, chains, valves and torque: what must hold for any figures, and what is refused."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engineering.amounts import AmountProblem, RangePosition
from engineering.mechanical import (
    LeakPath,
    choose_shim,
    fastener_torque_nm,
    judge_back_pressure,
    judge_clearance,
    judge_elongation,
    judge_leak_down,
    judge_slack,
    leak_fraction,
    most_elongation,
    needed_shim_mm,
    nominal_length_mm,
    orifice_diameter_in,
    sizes_in_steps_mm,
    wet_diameter_mm,
    wrench_setting_nm,
)

SIZES = sizes_in_steps_mm(first_mm=2.0, last_mm=3.5, step_mm=0.05)


@given(st.floats(50, 1000), st.floats(0, 1))
def test_the_leak_is_what_is_not_held(supply, share):
    assert leak_fraction(supply_kpa=supply, held_kpa=supply * share) == pytest.approx(1 - share, abs=1e-9)


def test_each_cylinder_is_judged_and_said_where():
    leaks = judge_leak_down(
        supply_kpa=550,
        held_kpa=[520, 300, 540],
        most_leak=0.25,
        heard=[LeakPath.NOWHERE, LeakPath.EXHAUST, LeakPath.CRANKCASE],
    )
    assert [leak.is_too_much for leak in leaks] == [False, True, False]
    assert [leak.number for leak in leaks] == [1, 2, 3]
    assert leaks[0].sentence == "Holds."
    assert leaks[1].sentence == "Leaks too much, at the exhaust: exhaust valve or seat."
    assert leaks[2].sentence == "Holds; what it loses goes out at the oil filler."


def test_a_leak_not_yet_found_says_where_to_listen():
    (leak,) = judge_leak_down(supply_kpa=550, held_kpa=[100], most_leak=0.25)
    assert "listen at exhaust, intake, oil filler" in leak.sentence


@given(st.floats(0, 100), st.floats(0.1, 50), st.floats(0.1, 50))
def test_back_pressure_stands_in_one_place(measured, one, other):
    least, most = sorted((one, other))
    judged = judge_back_pressure(measured_kpa=measured, least_kpa=least, most_kpa=most)
    if judged.standing is RangePosition.WITHIN:
        assert least * (1 - 1e-8) <= measured <= most * (1 + 1e-8)
        assert judged.look_at == ()
    else:
        assert judged.look_at
    assert judged.share == pytest.approx(measured / most)


@given(st.floats(5, 50), st.integers(5, 200), st.floats(-0.12, 0.12), st.floats(0.005, 0.1))
def test_elongation_gives_back_how_much_longer(pitch, links, longer, most):
    nominal = nominal_length_mm(pitch_mm=pitch, links=links)
    wear = judge_elongation(measured_mm=nominal * (1 + longer), nominal_mm=nominal, most=most)
    assert wear.fraction == pytest.approx(longer, abs=1e-9)
    if abs(longer - most) > 1e-6:
        assert wear.needs_new_set is (longer > most)
    if longer < -1e-6:
        assert "Shorter than new" in wear.sentence


@pytest.mark.parametrize("times_new", [0.4, 0.87, 1.13, 1.25, 2])
def test_a_length_that_no_chain_in_use_has_is_counted_again(times_new):
    with pytest.raises(AmountProblem, match="count the links again"):
        judge_elongation(measured_mm=600 * times_new, nominal_mm=600, most=0.03)


@given(st.integers(1, 400))
def test_more_teeth_never_allow_more_wear(teeth):
    assert most_elongation(largest_sprocket_teeth=teeth + 1) <= most_elongation(largest_sprocket_teeth=teeth) <= 0.03
    assert most_elongation(largest_sprocket_teeth=teeth, fixed_centers=True) <= 0.015


def test_slack_left():
    assert judge_slack(deflection_mm=8, most_mm=11).left_mm == 3
    assert judge_slack(deflection_mm=12, most_mm=11).left_mm == -1


@given(st.floats(2.0, 3.4), st.floats(0.0, 0.6), st.floats(0.1, 0.3))
def test_the_needed_shim_gives_the_target(fitted, measured, target):
    needed = needed_shim_mm(fitted_shim_mm=fitted, measured_mm=measured, target_mm=target)
    assert fitted + measured - needed == pytest.approx(target)
    # a gap too wide takes a thicker shim
    assert (needed > fitted) is (measured > target)


@given(st.floats(2.3, 3.2), st.floats(0.05, 0.4))
def test_the_chosen_shim_is_the_nearest_that_can_be_had(fitted, measured):
    shim = choose_shim(fitted_shim_mm=fitted, measured_mm=measured, least_mm=0.15, most_mm=0.25, sizes_mm=SIZES)
    assert shim.thickness_mm in SIZES
    assert shim.clearance_mm == pytest.approx(fitted + measured - shim.thickness_mm)
    needed = needed_shim_mm(fitted_shim_mm=fitted, measured_mm=measured, target_mm=0.20)
    assert all(abs(shim.thickness_mm - needed) <= abs(size - needed) + 1e-6 for size in SIZES)
    assert shim.is_in_range  # steps of 0.05 always reach limits 0.10 apart


def test_a_shim_that_cannot_reach_the_range_says_so():
    shim = choose_shim(fitted_shim_mm=2.5, measured_mm=0.6, least_mm=0.15, most_mm=0.25, sizes_mm=[2.5, 2.6])
    assert (shim.thickness_mm, shim.clearance_mm, shim.is_in_range) == (2.6, pytest.approx(0.5), False)


def test_no_gap_at_all_is_not_a_clearance():
    judged = judge_clearance(measured_mm=0, least_mm=0.15, most_mm=0.25)
    assert (judged.standing, judged.off_mm) == (RangePosition.BELOW, 0.15)
    assert "measure again" in judged.sentence
    wide = judge_clearance(measured_mm=0.30, least_mm=0.15, most_mm=0.25)
    assert (wide.standing, wide.off_mm) == (RangePosition.ABOVE, pytest.approx(0.05))


@given(st.floats(1, 500), st.floats(0.1, 1.5), st.floats(0.01, 0.09), st.floats(0, 180))
def test_setting_and_torque_are_each_others_way_back(torque, wrench, adapter, angle):
    how = {"wrench_length_m": wrench, "adapter_length_m": adapter, "angle_deg": angle}
    setting = wrench_setting_nm(torque_nm=torque, **how)
    assert fastener_torque_nm(setting_nm=setting, **how) == pytest.approx(torque)
    if angle < 89:
        assert setting < torque
    if angle > 91:
        assert setting > torque


@pytest.mark.parametrize(
    ("call", "field"),
    [
        (lambda: leak_fraction(supply_kpa=0, held_kpa=0), "supply_kpa"),
        (lambda: leak_fraction(supply_kpa=550, held_kpa=560), "held_kpa"),
        (lambda: leak_fraction(supply_kpa=550, held_kpa=-1), "held_kpa"),
        (lambda: judge_leak_down(supply_kpa=550, held_kpa=[], most_leak=0.25), "held_kpa"),
        (lambda: judge_leak_down(supply_kpa=550, held_kpa=[1], most_leak=25), "most_leak"),
        (lambda: judge_leak_down(supply_kpa=550, held_kpa=[1], most_leak=0.2, heard=[]), "heard"),
        (lambda: orifice_diameter_in(bore_mm=0), "bore_mm"),
        (lambda: judge_back_pressure(measured_kpa=1, most_kpa=None), "most_kpa"),
        (lambda: judge_back_pressure(measured_kpa=-1, most_kpa=5), "measured_kpa"),
        (lambda: judge_back_pressure(measured_kpa=1, most_kpa=5, least_kpa=6), "least_kpa"),
        (lambda: judge_back_pressure(measured_kpa=1, most_kpa=5, least_kpa=-1), "least_kpa"),
        (lambda: wet_diameter_mm(dry_diameter_mm=0), "dry_diameter_mm"),
        (lambda: judge_slack(deflection_mm=-1, most_mm=11), "deflection_mm"),
        (lambda: judge_slack(deflection_mm=1, most_mm=0), "most_mm"),
        (lambda: nominal_length_mm(pitch_mm=9.525, links=0), "links"),
        (lambda: most_elongation(largest_sprocket_teeth=0), "largest_sprocket_teeth"),
        (lambda: judge_elongation(measured_mm=25.4, nominal_mm=1000, most=0.03), "measured_mm"),
        (lambda: judge_elongation(measured_mm=1000, nominal_mm=0, most=0.03), "nominal_mm"),
        (lambda: judge_elongation(measured_mm=1000, nominal_mm=1000, most=3), "most"),
        (lambda: judge_clearance(measured_mm=-0.1, least_mm=0.1, most_mm=0.2), "measured_mm"),
        (lambda: judge_clearance(measured_mm=0.1, least_mm=0.3, most_mm=0.2), "least_mm"),
        (lambda: judge_clearance(measured_mm=0.1, least_mm=0, most_mm=0), "most_mm"),
        (lambda: needed_shim_mm(fitted_shim_mm=0.1, measured_mm=0.1, target_mm=0.3), "fitted_shim_mm"),
        (lambda: needed_shim_mm(fitted_shim_mm=0, measured_mm=0.1, target_mm=0.3), "fitted_shim_mm"),
        (lambda: _choose(target_mm=0.5), "target_mm"),
        (lambda: _choose(sizes_mm=[]), "sizes_mm"),
        (lambda: _choose(sizes_mm=[2.5, -1]), "sizes_mm"),
        (lambda: sizes_in_steps_mm(first_mm=2, last_mm=1, step_mm=0.05), "first_mm"),
        (lambda: sizes_in_steps_mm(first_mm=2, last_mm=3, step_mm=0), "step_mm"),
        (lambda: sizes_in_steps_mm(first_mm=2, last_mm=3, step_mm=0.0001), "step_mm"),
        (lambda: wrench_setting_nm(torque_nm=0, wrench_length_m=0.4, adapter_length_m=0.1), "torque_nm"),
        (lambda: wrench_setting_nm(torque_nm=1, wrench_length_m=0, adapter_length_m=0.1), "wrench_length_m"),
        (lambda: wrench_setting_nm(torque_nm=1, wrench_length_m=0.4, adapter_length_m=-1), "adapter_length_m"),
        (
            lambda: wrench_setting_nm(torque_nm=1, wrench_length_m=0.4, adapter_length_m=0.1, angle_deg=200),
            "angle_deg",
        ),
        (
            lambda: wrench_setting_nm(torque_nm=1, wrench_length_m=0.4, adapter_length_m=0.4, angle_deg=180),
            "adapter_length_m",
        ),
        (lambda: fastener_torque_nm(setting_nm=-1, wrench_length_m=0.4, adapter_length_m=0.1), "setting_nm"),
    ],
)
def test_what_has_no_sense_is_refused_by_its_field(call, field):
    with pytest.raises(AmountProblem) as refused:
        call()
    assert refused.value.field == field
    assert refused.value.sentence.endswith(".")


def _choose(**other):
    figures = {"fitted_shim_mm": 2.5, "measured_mm": 0.3, "least_mm": 0.1, "most_mm": 0.2, "sizes_mm": [2.5]}
    return choose_shim(**{**figures, **other})
