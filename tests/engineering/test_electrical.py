"""Conductors, circuits, batteries and charging: what holds for every input, and what is refused."""

from math import inf, nan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engineering.amounts import AmountProblem, RangePosition
from engineering.electrical import circuits, conductors, load_test, state_of_charge
from engineering.electrical.ampacity import Surroundings, cranking_most_a, smallest_for_cranking
from engineering.electrical.charging import ChargingWindow, judge_charging, window_at
from engineering.electrical.circuits import PartDrop, judge_drops, worst_drop
from engineering.electrical.conductors import SIZES, Gauge, conductor, smallest_conductor
from engineering.electrical.load_test import LoadTable, judge_load_test, minimum_voltage_v
from engineering.electrical.nominal import AGM, AGM_HIGHER, CHARGING_12_V, FLOODED, GRAVITY_80_F, LOAD_TEST
from engineering.electrical.state_of_charge import RestTable, cell_spread, charge_at_rest, corrected_gravity

AMPS = st.floats(0.1, 500)
METERS = st.floats(0.1, 60)
VOLTS = st.floats(0.05, 5)
GAUGES = st.sampled_from(Gauge)


@given(AMPS, METERS, VOLTS, GAUGES)
def test_a_chosen_conductor_keeps_the_drop(current_a, round_trip_m, allowed_drop_v, gauge):
    needed = conductors.circular_mils_needed(
        current_a=current_a, round_trip_m=round_trip_m, allowed_drop_v=allowed_drop_v
    )
    if needed > conductor(gauge, "4/0").circular_mils * (1 + 1e-9):
        with pytest.raises(AmountProblem, match="side by side"):
            smallest_conductor(needed, gauge)
        return
    chosen = smallest_conductor(needed, gauge)
    drop = conductors.voltage_drop_v(current_a=current_a, round_trip_m=round_trip_m, circular_mils=chosen.circular_mils)
    assert drop <= allowed_drop_v * (1 + 1e-9)
    thinner = SIZES.index(chosen.size) - 1
    if thinner >= 0:
        assert conductor(gauge, SIZES[thinner]).circular_mils < needed * (1 + 1e-9)


@pytest.mark.parametrize("gauge", list(Gauge))
def test_sizes_go_from_thin_to_thick(gauge):
    areas = [conductor(gauge, size).circular_mils for size in SIZES]
    assert areas == sorted(areas)
    assert len(set(areas)) == len(SIZES)


def test_a_conductor_says_its_gauge():
    assert conductor(Gauge.SAE, "2/0").name == "2/0 SAE"


@given(AMPS, METERS, st.floats(-40, 105))
def test_warm_copper_drops_more(current_a, round_trip_m, temperature_c):
    def drop(at_c: float) -> float:
        return conductors.voltage_drop_v(
            current_a=current_a, round_trip_m=round_trip_m, circular_mils=6530, k=conductors.copper_k(at_c)
        )

    assert drop(temperature_c + 1) > drop(temperature_c)


@given(st.floats(0, 30), st.floats(0.01, 2000))
def test_ohms_law_there_and_back(drop_v, current_a):
    resistance = circuits.resistance_ohm(drop_v=drop_v, current_a=current_a)
    assert circuits.drop_v(resistance_ohm=resistance, current_a=current_a) == pytest.approx(drop_v)


NO_NUMBERS = [nan, inf, -inf]


@pytest.mark.parametrize("bad", [*NO_NUMBERS, 0, -1])
@pytest.mark.parametrize("field", ["current_a", "round_trip_m", "allowed_drop_v", "k"])
def test_a_run_without_sense_is_refused(field, bad):
    run = {"current_a": 10.0, "round_trip_m": 6.4, "allowed_drop_v": 0.36, "k": 10.75}
    with pytest.raises(AmountProblem) as refused:
        conductors.circular_mils_needed(**{**run, field: bad})
    assert refused.value.field == field
    assert refused.value.sentence.endswith(".")


@pytest.mark.parametrize("bad", [*NO_NUMBERS, -100, 300])
def test_a_temperature_without_sense_is_refused(bad):
    with pytest.raises(AmountProblem):
        conductors.copper_k(bad)


@pytest.mark.parametrize(("size", "gauge"), [("13", Gauge.AWG), ("", Gauge.SAE), ("5/0", Gauge.AWG)])
def test_sizes_that_are_none_are_refused(size, gauge):
    with pytest.raises(AmountProblem, match="not a size known here"):
        conductor(gauge, size)


@pytest.mark.parametrize("number", [-4, 41])
def test_gauge_numbers_beyond_the_table_are_refused(number):
    with pytest.raises(AmountProblem, match="4/0 to 40"):
        conductors.awg_circular_mils(number)


def test_no_ampacity_is_made_up():
    assert conductors.ampacity("3") is None


def test_without_current_no_resistance():
    with pytest.raises(AmountProblem, match="The current must be more than 0"):
        circuits.resistance_ohm(drop_v=0.1, current_a=0)


def test_exchanged_probes_are_said():
    with pytest.raises(AmountProblem, match="probes are swapped") as refused:
        judge_drops([PartDrop("ground side", -0.2, 0.2, field="ground")])
    assert refused.value.field == "ground"


def test_the_worst_part_is_the_one_furthest_above_its_own_limit():
    judged = judge_drops(
        [PartDrop("positive side", 0.6, 0.5), PartDrop("ground side", 0.3, 0.2), PartDrop("switch", 0.4)],
        current_a=200,
    )
    worst = worst_drop(judged)
    assert worst is not None
    assert (worst.part, worst.over_v) == ("ground side", pytest.approx(0.1))
    assert judged[2].standing is None
    assert [drop.mohm for drop in judged] == pytest.approx([3, 1.5, 2])


def test_nothing_is_worst_where_all_is_within():
    assert worst_drop(judge_drops([PartDrop("ground side", 0.2, 0.2)])) is None


def test_a_limit_of_zero_is_refused():
    with pytest.raises(AmountProblem, match="limit of the ground side") as refused:
        judge_drops([PartDrop("ground side", 0.1, 0, "ground", "ground_limit")])
    assert refused.value.field == "ground_limit"


TABLES = st.sampled_from([FLOODED, AGM, AGM_HIGHER])


@given(TABLES, st.floats(10, 12.9), st.floats(0, 0.1))
def test_more_volts_are_never_less_charge(table, volts, more):
    lower, higher = (charge_at_rest(rest_v=v, table=table).percent for v in (volts, volts + more))
    assert 0 <= lower <= higher <= 100


@given(TABLES, st.floats(11.5, 13))
def test_24_v_are_two_batteries_of_12_v(table, volts):
    one = charge_at_rest(rest_v=volts, table=table)
    two = charge_at_rest(rest_v=2 * volts, table=table, cells=12)
    assert two.percent == pytest.approx(one.percent)
    assert two.corrected == pytest.approx(2 * one.corrected)


def test_a_table_is_a_matter_of_the_caller():
    own = RestTable(points=((12.9, 100), (11.8, 0)), reference_c=25, volts_per_c=0.004, source="typed")
    assert charge_at_rest(rest_v=12.35, table=own).percent == pytest.approx(50)


def test_values_beyond_the_table_are_said_to_be():
    assert charge_at_rest(rest_v=12.9, table=FLOODED).is_above_table
    below = charge_at_rest(rest_v=11.9, table=AGM_HIGHER)
    assert (below.is_below_table, below.percent) == (True, 25)


def test_a_table_without_correction_leaves_the_voltage():
    assert charge_at_rest(rest_v=12.4, table=AGM, temperature_c=0).corrected == pytest.approx(12.4)


@pytest.mark.parametrize(
    ("points", "says"),
    [
        (((12.6, 100),), "at least two rows"),
        (((12.6, 100), (12.0, 100)), "must rise"),
        (((12.6, 50), (12.6, 100)), "must rise"),
        (((12.6, 100), (12.0, -5)), "from 0 to 100"),
        (((nan, 100), (12.0, 0)), "not a number"),
        (((0, 0), (12.0, 10)), "more than 0"),
    ],
)
def test_tables_that_say_nothing_are_refused(points, says):
    with pytest.raises(AmountProblem, match=says) as refused:
        RestTable(points=points, reference_c=25, volts_per_c=None, source="typed")
    assert refused.value.field == "points"


@pytest.mark.parametrize("bad", [*NO_NUMBERS, 0, -12.6, 14.4, 25.2])
def test_what_is_no_voltage_at_rest_is_refused(bad):
    with pytest.raises(AmountProblem) as refused:
        charge_at_rest(rest_v=bad, table=FLOODED)
    assert refused.value.field == "rest_v"


@pytest.mark.parametrize("bad", [*NO_NUMBERS, 1265, 0.9])
def test_what_is_no_specific_gravity_is_refused(bad):
    with pytest.raises(AmountProblem) as refused:
        corrected_gravity(read_gravity=bad, temperature_c=20, correction=GRAVITY_80_F)
    assert refused.value.field == "read_gravity"


@given(st.floats(1.1, 1.3), st.floats(-20, 50), st.floats(0.1, 20))
def test_warm_acid_is_corrected_upward(gravity, temperature_c, warmer):
    def corrected(at_c: float) -> float:
        return corrected_gravity(read_gravity=gravity, temperature_c=at_c, correction=GRAVITY_80_F)

    assert corrected(temperature_c + warmer) > corrected(temperature_c)


def test_cells_beside_each_other():
    spread = cell_spread([1.260, 1.255, 1.190, 1.260, 1.250, 1.265])
    assert (spread.weakest_cell, spread.lowest, spread.highest) == (3, 1.190, 1.265)
    assert spread.spread == pytest.approx(0.075)


def test_one_cell_has_nothing_beside_it():
    with pytest.raises(AmountProblem, match="at least two cells"):
        cell_spread([1.26])


@given(st.floats(-18, 70), st.floats(0, 20))
def test_a_warmer_battery_must_hold_at_least_as_much(temperature_c, warmer):
    cold = minimum_voltage_v(temperature_c=temperature_c, table=LOAD_TEST)
    warm = minimum_voltage_v(temperature_c=min(70, temperature_c + warmer), table=LOAD_TEST)
    assert 8.5 <= cold <= warm <= 9.6


def test_a_frozen_battery_is_not_judged():
    with pytest.raises(AmountProblem, match=r"warm the battery"):
        minimum_voltage_v(temperature_c=-25, table=LOAD_TEST)


def test_a_hot_battery_is_not_loaded():
    with pytest.raises(AmountProblem, match="Let the battery cool"):
        minimum_voltage_v(temperature_c=80, table=LOAD_TEST)


@pytest.mark.parametrize(("load_a", "fits"), [(None, True), (325, True), (300, True), (200, False)])
def test_a_load_far_from_half_the_rating_is_said(load_a, fits):
    tested = judge_load_test(measured_v=9.9, cold_cranking_a=650, temperature_c=20, table=LOAD_TEST, load_a=load_a)
    assert tested.load_fits is fits


@pytest.mark.parametrize(
    ("field", "bad"),
    [("measured_v", nan), ("measured_v", 0), ("measured_v", 24), ("cold_cranking_a", 0), ("load_a", -1),
     ("temperature_c", inf)],
)  # fmt: skip
def test_a_load_test_without_sense_is_refused(field, bad):
    test = {"measured_v": 9.9, "cold_cranking_a": 650.0, "temperature_c": 20.0, "load_a": 325.0}
    with pytest.raises(AmountProblem) as refused:
        judge_load_test(**{**test, field: bad}, table=LOAD_TEST)
    assert refused.value.field == field


@pytest.mark.parametrize(
    ("points", "says"),
    [(((20, 9.6),), "at least two"), (((20, 9.0), (0, 9.5)), "cannot fall"), (((20, nan), (0, 9)), "not a number")],
)
def test_load_tables_that_say_nothing_are_refused(points, says):
    with pytest.raises(AmountProblem, match=says):
        LoadTable(points=points, source="typed")


@given(st.floats(-40, 59), st.floats(0.1, 1))
def test_a_warm_battery_is_charged_lower(temperature_c, warmer):
    cold = window_at(window=CHARGING_12_V, temperature_c=temperature_c)
    warm = window_at(window=CHARGING_12_V, temperature_c=temperature_c + warmer)
    assert warm[0] < cold[0]
    assert warm[1] < cold[1]


@pytest.mark.parametrize(
    ("measured_v", "cells", "standing"),
    [(13.8, 6, RangePosition.WITHIN), (14.8, 6, RangePosition.WITHIN), (13.7, 6, RangePosition.BELOW),
     (15.0, 6, RangePosition.ABOVE),
     (28.4, 12, RangePosition.WITHIN), (27.0, 12, RangePosition.BELOW)],
)  # fmt: skip
def test_charging_judged(measured_v, cells, standing):
    judged = judge_charging(measured_v=measured_v, window=CHARGING_12_V, cells=cells, temperature_c=25)
    assert judged.standing is standing


@pytest.mark.parametrize(
    ("low", "high", "change", "field"),
    [(14.8, 13.8, -4, "low_v"), (13.8, 14.8, 4, "millivolts_per_c_per_cell"),
     (13.8, 14.8, -24, "millivolts_per_c_per_cell"), (nan, 14.8, -4, "low_v")],
)  # fmt: skip
def test_windows_that_no_voltage_meets_are_refused(low, high, change, field):
    with pytest.raises(AmountProblem) as refused:
        ChargingWindow(low, high, 25, change, "typed")
    assert refused.value.field == field


@pytest.mark.parametrize("temperature_c", [-41, 61, nan])
def test_no_battery_is_charged_at_such_a_temperature(temperature_c):
    with pytest.raises(AmountProblem) as refused:
        window_at(window=CHARGING_12_V, temperature_c=temperature_c)
    assert refused.value.field == "temperature_c"


def test_a_battery_without_cells_is_none():
    with pytest.raises(AmountProblem, match="at least one cell"):
        charge_at_rest(rest_v=12.6, table=FLOODED, cells=0)
    with pytest.raises(AmountProblem, match="at least one cell"):
        window_at(window=CHARGING_12_V, cells=0)


def test_calculations_know_no_nominal_value():
    # limits and tables are handed in; only the forms start with nominal ones
    for module in (circuits, conductors, load_test, state_of_charge):
        assert "nominal" not in vars(module)


def test_a_thin_wire_gets_too_hot_to_crank_with():
    wire = conductor(Gauge.AWG, "12")
    assert cranking_most_a(wire, Surroundings(105)) == pytest.approx(104.7, abs=0.1)  # 3.309 mm² at 31.6 A/mm²
    assert cranking_most_a(wire, Surroundings(60, in_engine_space=True)) < 40
    assert smallest_for_cranking(100, Gauge.AWG, Surroundings(105)).size == "12"
    assert smallest_for_cranking(106, Gauge.AWG, Surroundings(105)).size == "10"
    with pytest.raises(AmountProblem, match="Have it designed"):
        smallest_for_cranking(9000, Gauge.AWG, Surroundings(105))
