"""Tests of batteries at work: under load, and while they are charged."""

from __future__ import annotations

from engineering.amounts import AmountProblem, Standing
from engineering.electrical.charging import ChargingWindow, judge_charging
from engineering.electrical.load_test import LoadTable, judge_load_test
from engineering.electrical.nominal import CHARGING_12_V, FLOODED, LOAD_TEST
from engineering.electrical.state_of_charge import CELLS_OF_12_V, charge_at_rest
from engineering.measures import Kind
from findings.bench.cautions import BATTERIES, CARBON_MONOXIDE, ROTATING, SHORT_CIRCUIT
from findings.bench.tool import (
    AtHand,
    Band,
    Example,
    Figure,
    Given,
    Group,
    Outcome,
    Prefill,
    Preset,
    Quantity,
    Rows,
    Tool,
)
from findings.bench.tools.batteries import BATTERY, CELLS, DISCONNECT
from findings.bench.tools.electrical import DIRECT_CURRENT

_CHARGED_ENOUGH = 75.0
"""Percent, before a load test. Common practice; a vehicle maker's manual asks for 75 % or more."""
_HOTTEST_C = 60.0
"""Common practice, no source: beyond it somebody wrote °F for °C."""
_CHARGING = "Charging voltage"
_A_CELL_CHARGES_AT = (1.8, 3.2)
"""Volts a cell, the middle of any window of lead-acid: half or twice of it is a window for another battery."""
_LOAD = (
    "A load tester gets hot and sparks: switch its load off before you take the clamps off, and keep the vents clear."
)


def _load(given: Given) -> Outcome:
    """Half the rating for 15 seconds, judged by temperature."""
    if given.number("temperature") > _HOTTEST_C:
        raise AmountProblem("No battery is tested so hot. Is the unit right, °F or °C? Mend it.", field="temperature_c")
    rest_v = given.number_or_none("rest")
    notes = []
    tells = True
    if rest_v is not None:
        percent = charge_at_rest(rest_v=rest_v, table=FLOODED).percent
        if percent < _CHARGED_ENOUGH:
            tells = False
            notes.append(
                f"At rest it was about {percent:.0f} % charged. Charge it first: a low battery fails this test "
                "even when it is sound."
            )
    tested = judge_load_test(
        measured_v=given.number("measured"),
        cold_cranking_a=given.number("rating"),
        temperature_c=given.number("temperature"),
        table=LoadTable(points=tuple(given.pairs("table")), source="as entered"),
        load_a=given.number_or_none("load"),
    )
    if not tested.load_fits:
        tells = False
        notes.append(
            f"The load was not near {given.show(tested.load_a, 'A')}, half the rating: the limit does not fit it. "
            "Test again."
        )
    if tells and not tested.passes:
        notes.append("Charge it, let it rest and test again before you condemn it; look at posts and clamps too.")
    verdict = ("It holds up" if tested.passes else "It does not hold up") if tells else "This cannot be judged"
    return Outcome(
        f"{verdict}: {given.show(tested.measured_v, 'V', decimals=2)} after 15 s, "
        f"{given.show(tested.minimum_v, 'V', decimals=2)} needed at this temperature.",
        main=Figure("Voltage under load", tested.measured_v, "V", decimals=2),
        figures=(
            Figure("Load to draw", tested.load_a, "A"),
            Figure("Least voltage", tested.minimum_v, "V", decimals=2),
        ),
        band=Band(round(tested.minimum_v, 2), None, "V", near_percent=1, source="the table, at this temperature")
        if tells
        else None,
        notes=notes,
    )


def _charging(given: Given) -> Outcome:
    """The charging voltage against the window at the battery's temperature."""
    cells = CELLS[given.choice("cells")]
    per_cell_v = (given.number("low") + given.number("high")) / 2 / cells
    if not _A_CELL_CHARGES_AT[0] <= per_cell_v <= _A_CELL_CHARGES_AT[1]:
        raise AmountProblem(
            f"This window is not one of a battery with {cells} cells ({2 * cells} V). "
            "Write the window for it, or choose the other battery.",
            field="low_v",
        )
    window = ChargingWindow(
        low_v=given.number("low") * CELLS_OF_12_V / cells,
        high_v=given.number("high") * CELLS_OF_12_V / cells,
        reference_c=given.number("reference"),
        millivolts_per_c_per_cell=given.number("change"),
        source="as entered",
    )
    temperature_c = given.number_or_none("temperature")
    judged = judge_charging(
        measured_v=given.number("measured"), window=window, temperature_c=temperature_c, cells=cells
    )
    low, high = (given.show(end, "V", decimals=2) for end in (judged.low_v, judged.high_v))
    said = {
        Standing.WITHIN: f"Within {low} to {high}.",
        Standing.BELOW: f"Too low: {low} to {high} is wanted.",
        Standing.ABOVE: f"Too high: {low} to {high} is wanted.",
    }
    notes = {
        Standing.WITHIN: (),
        Standing.BELOW: (
            "Measure at the alternator too: if it is right there, the wires between drop the rest.",
            "Belt, connections, regulator and a battery that is still far from full come next.",
        ),
        Standing.ABOVE: (
            "Look at the regulator and its sense wire first; too much voltage gasses batteries and harms electronics.",
        ),
    }
    return Outcome(
        f"{given.show(judged.measured_v, 'V', decimals=2)} at the battery. {said[judged.standing]}",
        main=Figure("Charging voltage", judged.measured_v, "V", decimals=2),
        figures=(Figure("At least", judged.low_v, "V", decimals=2), Figure("At most", judged.high_v, "V", decimals=2)),
        band=Band(round(judged.low_v, 2), round(judged.high_v, 2), "V", source="the window, at this temperature"),
        notes=notes[judged.standing],
    )


def _end(name: str, label: str, nominal_v: float, side: str) -> Quantity:
    """An end of the charging window: the spec card's, or a nominal one."""

    def default(at: AtHand) -> Prefill:
        limit = at.limit(_CHARGING)
        value = None if limit is None else getattr(limit, side)
        if limit is not None and value is not None:
            return Prefill(f"{value.normalize():f} {limit.unit}", f"From {limit.card.title}: {limit.card.document}.")
        return Prefill(f"{nominal_v:g} V", "Nominal for 12 V at 25 °C, from memory. The battery maker's comes first.")

    return Quantity(name, label, Kind.VOLTAGE, "V", default=default, argument=f"{side}_v", section="Window")


TOOLS = (
    Tool(
        slug="battery-load-test",
        title="Battery load test",
        group=Group.BATTERIES,
        purpose="Half the cold-cranking amps for 15 seconds, judged by the battery's temperature. For 12 V batteries.",
        fields=(
            Quantity(
                "rating", "Cold-cranking amps", Kind.CURRENT, "A", argument="cold_cranking_a", hint="On the label."
            ),
            Quantity(
                "measured",
                "Voltage after 15 s",
                Kind.VOLTAGE,
                "V",
                argument="measured_v",
                hint="At the posts, under load.",
            ),
            Quantity("temperature", "Battery temperature", Kind.TEMPERATURE, "degC", argument="temperature_c"),
            Quantity(
                "load",
                "Load drawn",
                Kind.CURRENT,
                "A",
                required=False,
                argument="load_a",
                hint="If the tester shows it.",
            ),
            Quantity(
                "rest",
                "Voltage at rest before",
                Kind.VOLTAGE,
                "V",
                required=False,
                argument="rest_v",
                hint="Flooded; tells whether it was charged enough.",
            ),
            Rows(
                "table",
                "Least voltage by temperature",
                columns=(
                    Quantity("at", "Temperature", Kind.TEMPERATURE, "degC"),
                    Quantity("volts", "At least", Kind.VOLTAGE, "V"),
                ),
                row_label="Row",
                rows=[(f"{at:g} °C", f"{volts:g} V") for at, volts in sorted(LOAD_TEST.points, reverse=True)],
                start=8,
                least=2,
                most=12,
                argument="points",
                hint="Of three vehicle makers; the battery maker's comes first.",
                section="Table",
            ),
        ),
        work=_load,
        formula="load = CCA / 2; least voltage on a straight line between two rows of the table",
        source="Three vehicle makers' service manuals, 2003 to 2009 (common practice)",
        cautions=(BATTERIES, _LOAD, DISCONNECT, SHORT_CIRCUIT),
        logs_as="Battery voltage under load",
        example=Example(
            {"rating": "650 A", "measured": "9.6 V", "temperature": "20 °C"},
            expects={"Load to draw": "325 A", "Least voltage": "9.6 V", "Voltage under load": "9.6 V"},
            says="It holds up",
            source="Three vehicle makers' service manuals: 9.6 V at 20 °C; half of 650 A",
        ),
    ),
    Tool(
        slug="charging-voltage",
        title="Charging voltage",
        group=Group.BATTERIES,
        purpose="Whether the alternator charges right for the battery's temperature.",
        fields=(
            Quantity(
                "measured",
                "Voltage at the battery",
                Kind.VOLTAGE,
                "V",
                argument="measured_v",
                hint="Engine at speed, battery near full.",
            ),
            BATTERY,
            Quantity(
                "temperature",
                "Battery temperature",
                Kind.TEMPERATURE,
                "degC",
                required=False,
                argument="temperature_c",
                hint="Empty: the window as it stands.",
            ),
            _end("low", "At least", CHARGING_12_V.low_v, "low"),
            _end("high", "At most", CHARGING_12_V.high_v, "high"),
            Quantity("reference", "Window holds at", Kind.TEMPERATURE, "degC", default="25 °C", section="Window"),
            Quantity(
                "change",
                "Change",
                fixed="mV per °C and cell",
                width="two-thirds",
                default=f"{CHARGING_12_V.millivolts_per_c_per_cell:g}",
                argument="millivolts_per_c_per_cell",
                hint="Nominal −3 to −5, from memory.",
                section="Window",
            ),
        ),
        work=_charging,
        formula="window + change × cells × (temperature − reference)",
        source="13.8 to 14.8 V at 25 °C, −3 to −5 mV per °C and cell: from memory; a battery primer prints −3",
        cautions=(BATTERIES, ROTATING, CARBON_MONOXIDE, SHORT_CIRCUIT, DIRECT_CURRENT),
        presets=(
            Preset("12 V", {"cells": "6", "low": "13.8 V", "high": "14.8 V"}, source="nominal, from memory"),
            Preset("24 V", {"cells": "12", "low": "27.6 V", "high": "29.6 V"}, source="twice the nominal 12 V window"),
        ),
        logs_as=_CHARGING,
        example=Example(
            {
                "measured": "13.5 V",
                "cells": "6",
                "temperature": "35 °C",
                "low": "13.8 V",
                "high": "14.8 V",
                "reference": "25 °C",
                "change": "-3",
            },
            expects={"At least": "13.62 V", "At most": "14.62 V"},
            says="Too low",
            source="A battery primer: 2.30 V a cell at 25 °C is 2.27 V at 35 °C, so 13.8 V are 13.62 V",
        ),
    ),
)
