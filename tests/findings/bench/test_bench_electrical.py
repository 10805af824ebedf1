"""The electrical, battery and code tools: what they say beyond the bare figure."""

from typing import Any

import pytest

from engineering.amounts import AmountProblem
from engineering.electrical.nominal import FLOODED, LOAD_TEST
from findings.bench.outcome import Figure, Outcome, Told
from findings.bench.tool import Given, Tool, ToolProblem
from findings.bench.tools import (
    batteries,
    battery_tests,
    charging,
    codes,
    cranking,
    electrical,
    electrical_wires,
    hydrometers,
)

TOOLS = {
    tool.slug: tool
    for module in (batteries, battery_tests, charging, codes, cranking, electrical, electrical_wires, hydrometers)
    for tool in module.TOOLS
}


def rows(*values: Any) -> list[tuple[int, tuple[Any, ...]]]:
    return [(number, value if isinstance(value, tuple) else (value,)) for number, value in enumerate(values, start=1)]


def work(slug: str, **values: Any) -> Outcome:
    return TOOLS[slug].work(Given(values))


def figure(outcome: Outcome, label: str) -> float:
    (found,) = (one for one in outcome.figures if isinstance(one, Figure) and one.label == label)
    return found.value


def told(outcome: Outcome, label: str) -> str:
    (found,) = (one for one in outcome.figures if isinstance(one, Told) and one.label == label)
    return found.text


RUN = {"current": 10.0, "run": 21 * 0.3048, "system": 12.0, "allowed": 3.0, "gauge": "AWG", "size": "12",
       "insulation": "105", "where": "outside", "bundled": 2}  # fmt: skip


def test_a_run_is_judged_by_the_drop_allowed():
    outcome = work("voltage-drop", **RUN)
    assert outcome.band is not None
    assert outcome.band.high == pytest.approx(0.36)
    assert "12 AWG drops 0.346 V at 10 A" in outcome.sentence


def test_a_run_that_would_take_the_whole_voltage_is_refused():
    with pytest.raises(ToolProblem, match="cannot carry that current"):
        work("voltage-drop", **{**RUN, "current": 40.0, "run": 61.0})


def test_a_drop_beyond_the_wire_is_blamed_on_its_joints():
    outcome = work("voltage-drop", **RUN, measured=0.846)
    assert figure(outcome, "Measured beyond the wire") == pytest.approx(50, abs=0.1)
    assert "joints" in outcome.notes[0]


def test_a_drop_within_the_wire_blames_nothing():
    outcome = work("voltage-drop", **RUN, measured=0.3)
    assert "no more than the wire alone" in outcome.notes[0]
    assert outcome.sentence.startswith("0.3 V measured is within the 0.36 V allowed")


@pytest.mark.parametrize(("name", "value"), [("system", 120.0), ("system", 0.0), ("allowed", 0.0), ("allowed", 60.0)])
def test_what_is_not_a_boats_direct_current_is_refused(name, value):
    with pytest.raises(ToolProblem) as refused:
        work("voltage-drop", **{**RUN, name: value})
    assert refused.value.field == name


def test_a_short_run_is_sized_by_the_current_it_carries():
    outcome = work("conductor-size", **{**RUN, "current": 50.0, "run": 0.6, "where": "inside"})
    assert told(outcome, "Conductor") == "10 AWG"
    assert figure(outcome, "Steady current, at most") == 51
    assert "does not carry 50 A" in outcome.notes[0]


def test_a_long_run_is_sized_by_its_drop():
    outcome = work("conductor-size", **{**RUN, "where": "outside"})
    assert told(outcome, "Conductor") == "12 AWG"
    assert figure(outcome, "Drop with it") < 0.36


def test_sae_wire_is_not_given_the_current_of_awg():
    outcome = work("conductor-size", **{**RUN, "gauge": "SAE", "where": "outside"})
    assert told(outcome, "Conductor") == "10 SAE"
    assert figure(outcome, "Steady current, at most") == 45, "12 AWG has the next smaller copper"


def test_a_current_that_no_single_conductor_carries_is_refused():
    with pytest.raises(AmountProblem, match="No single conductor"):
        work("conductor-size", **{**RUN, "current": 500.0, "run": 0.5, "where": "outside"})


CRANKING = {
    "positive": 0.4, "positive_limit": 0.5, "ground": 0.15, "ground_limit": 0.2, "connection_limit": 0.1,
}  # fmt: skip


def test_drops_within_their_limits_point_elsewhere():
    outcome = work("cranking-drops", **CRANKING)
    assert outcome.sentence == "Every drop is within its limit."
    assert "battery, the starter itself" in outcome.notes[0]


def test_the_worst_part_is_logged_as_its_own_parameter():
    outcome = work("cranking-drops", **{**CRANKING, "ground": 0.35, "positive": 0.6, "current": 200.0})
    assert outcome.logs_as == "Ground circuit voltage drop"
    assert "the positive side too high as well" in outcome.sentence
    assert [row[-1] for row in outcome.tables[0].rows] == pytest.approx([3, 1.75])


def test_a_bad_connection_is_named():
    outcome = work("cranking-drops", **CRANKING, connection=0.3, where="ground strap")
    assert outcome.sentence.startswith("Ground strap: 0.3 V, 0.2 V more than the 0.1 V allowed")
    assert (outcome.logs_as, outcome.condition) == ("Starter circuit voltage drop", "Ground strap")


CHARGE = {
    "cells": "6",
    "kind": "flooded",
    "table": rows(*FLOODED.points),
    "correction": 0.024,
    "reference": FLOODED.reference_c,
}


def test_the_table_is_what_was_entered():
    own = {**CHARGE, "table": rows((11.8, 0.0), (12.8, 100.0))}
    assert "50 % charged" in work("charge-at-rest", **own, rest=12.3).sentence


def test_the_correction_is_per_ten_degrees_fahrenheit():
    outcome = work("charge-at-rest", **CHARGE, rest=12.40, temperature=FLOODED.reference_c + 10 / 1.8)
    assert figure(outcome, "Voltage at the reference temperature") == pytest.approx(12.424)


@pytest.mark.parametrize("missing", ["temperature", "correction"])
def test_without_a_temperature_or_a_correction_none_is_said_to_be_applied(missing):
    given = {**CHARGE, "rest": 12.40, "temperature": FLOODED.reference_c}
    outcome = work("charge-at-rest", **{name: value for name, value in given.items() if name != missing})
    assert figure(outcome, "Voltage as read, not corrected for temperature") == pytest.approx(12.40)
    assert "Voltage at the reference temperature" not in [one.label for one in outcome.figures]
    formula = TOOLS["charge-at-rest"].formula
    assert formula.endswith("where both correction and temperature are given, else the voltage as read")


@pytest.mark.parametrize(("rest", "says"), [(12.9, "surface charge"), (11.5, "one dead cell")])
def test_beyond_the_table_it_says_what_that_means(rest, says):
    assert any(says in note for note in work("charge-at-rest", **CHARGE, rest=rest).notes)


HYDROMETER = {"temperature": FLOODED.reference_c, "correction": 0.004, "reference": FLOODED.reference_c, "spread": 0.05}


def test_the_weak_cell_keeps_its_number_when_cells_are_left_out():
    readings = [(1, (1.26,)), (2, (1.255,)), (5, (1.15,))]
    outcome = work("hydrometer", **HYDROMETER, readings=readings)
    assert told(outcome, "Weakest cell") == "5"
    assert "Cell 5 is weakest, about 21 % charged, and lies 0.11 SG below the best" in outcome.sentence


def test_a_wrong_cell_is_named_by_its_row():
    with pytest.raises(AmountProblem) as refused:
        work("hydrometer", **HYDROMETER, readings=[(1, (1.26,)), (4, (1265.0,))])
    assert (refused.value.row, refused.value.field) == (4, "read_gravity")
    assert TOOLS["hydrometer"].field_for("read_gravity") is not None


LOAD = {"rating": 650.0, "kind": "flooded", "load": 325.0, "temperature": 20.0, "table": rows(*LOAD_TEST.points)}


def test_a_battery_that_fails_is_not_condemned_at_once():
    outcome = work("battery-load-test", **LOAD, measured=9.2)
    assert outcome.sentence.startswith("It does not hold up")
    assert any("before you condemn it" in note for note in outcome.notes)


def test_a_low_battery_and_a_wrong_load_are_said():
    outcome = work("battery-load-test", **{**LOAD, "load": 200.0}, measured=9.7, rest=12.2)
    notes = outcome.notes
    assert outcome.sentence.startswith("This cannot be judged")
    assert outcome.band is None
    assert any("Charge it first" in note for note in notes)
    assert any("not near 325 A" in note for note in notes)


CHARGING = {"cells": "6", "kind": "flooded", "low": 13.8, "high": 14.8, "reference": 25.0, "change": -4.0}


@pytest.mark.parametrize(("measured", "says"), [(14.2, "Within"), (13.2, "Too low"), (15.3, "Too high")])
def test_charging_said_in_words(measured, says):
    assert says in work("charging-voltage", **CHARGING, measured=measured).sentence


@pytest.mark.parametrize(("cells", "low", "high"), [("12", 13.8, 14.8), ("6", 27.6, 29.6)])
def test_a_window_of_another_battery_judges_nothing(cells, low, high):
    with pytest.raises(AmountProblem, match="not one of a battery with"):
        work("charging-voltage", **{**CHARGING, "cells": cells, "low": low, "high": high}, measured=28.4)


def test_a_voltage_is_said_as_exactly_as_it_is_judged():
    assert "14.92 V at the battery. Too high" in work("charging-voltage", **CHARGING, measured=14.92).sentence


def test_a_battery_as_hot_as_water_boils_is_a_slip_of_the_unit():
    with pytest.raises(AmountProblem, match="°F or °C"):
        work("battery-load-test", **{**LOAD, "temperature": 100.0}, measured=9.6)


def test_the_window_of_24_v_is_what_was_entered_for_24_v():
    outcome = work("charging-voltage", **{**CHARGING, "cells": "12", "low": 27.6, "high": 29.6}, measured=28.4)
    assert outcome.band is not None
    assert (outcome.band.low, outcome.band.high) == pytest.approx((27.6, 29.6))


CODE = {"form": "code", "system": "any"}


@pytest.mark.parametrize(
    ("code", "given", "says"),
    [
        ("P0217", {}, "P0217: Engine coolant over temperature"),
        ("SPN 110 FMI 0", {}, "Engine coolant temperature"),
        ("2-3", {"system": "flash"}, "Flash code 2-3"),
        ("6E 00 00 01", {"form": "bytes"}, "SPN 110 FMI 0"),
        ("013311", {"form": "bytes"}, "P0133-11"),
        ("00 00", {"form": "bytes"}, "there is no code"),
        ("00 00 00 00", {"form": "bytes"}, "there is no code"),
        ("D2 04 03 81", {"form": "bytes"}, "cannot be known"),
    ],
)
def test_codes_in_words(code, given, says):
    assert says in work("code-meaning", **{**CODE, **given}, code=code).sentence


def test_an_unknown_byte_order_offers_all_it_can_be():
    assert "1234" in told(work("code-meaning", **{**CODE, "form": "bytes"}, code="D2 04 03 81"), "SPN, one of")


@pytest.mark.parametrize(
    ("code", "given", "field"),
    [
        ("zz", {}, "code"),
        ("2-3", {}, "code"),
        ("zz", {"form": "bytes"}, "code"),
        ("01", {"form": "bytes"}, "code"),
        ("01 33", {"form": "bytes", "system": "spn"}, "code"),
        ("6E 00 00 01", {"form": "bytes", "system": "obd"}, "code"),
        ("01 33", {"form": "bytes", "system": "flash"}, "system"),
    ],
)
def test_what_is_no_code_is_refused_by_its_field(code, given, field):
    with pytest.raises(ToolProblem) as refused:
        work("code-meaning", **{**CODE, **given}, code=code)
    assert refused.value.field == field


@pytest.mark.parametrize("tool", TOOLS.values(), ids=TOOLS)
def test_whoever_works_on_a_battery_is_warned(tool: Tool):
    needs = tool.slug not in {"code-meaning"}
    assert bool(tool.cautions) is needs


def test_the_gear_is_out_before_anything_cranks():
    assert any("neutral" in caution for caution in TOOLS["cranking-drops"].cautions)
