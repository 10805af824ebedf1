"""Tests of batteries at work: under load, and while they are charged."""

from __future__ import annotations

from engineering.amounts import AmountProblem, Standing, reaches
from engineering.electrical.charging import ChargingWindow, judge_charging
from engineering.electrical.load_test import LoadTable, LoadTest, judge_load_test
from engineering.electrical.nominal import AGM, CHARGING_12_V, FLOODED, LOAD_TEST
from engineering.electrical.state_of_charge import CELLS_OF_12_V, charge_at_rest
from engineering.measures import Kind
from findings.bench.battery_kinds import (
    AGM_KIND,
    FLOODED_KIND,
    GEL_KIND,
    KIND,
    LITHIUM_KIND,
    NEVER_CHARGE,
    charging_warnings,
    kind_of,
    name_of,
)
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
_REST_TABLES = {FLOODED_KIND: FLOODED, AGM_KIND: AGM}
_AT_REST_V = (9.0, 13.2)
"""What a 12 V battery can have at rest, flat and with surface charge. Common practice, no source."""
_UNLOADED_V = 12.65
_LEAST_SAG_V = 0.5
"""A starting battery under half its rating sags by far more; else no load was drawn. Common practice, no source."""
_NO_CHARGE_V, _NO_BATTERY_V = 1.75, 3.0
"""Volts a cell beyond which nothing charges it, or it is another battery. Common practice, no source."""
_A_CELL_CHARGES_AT = (1.8, 3.2)
"""Volts a cell, the middle of any window of lead-acid: half or twice of it is a window for another battery."""
_LOAD = (
    "A load tester gets hot and sparks: switch its load off before you take the clamps off, and keep the vents clear."
)


def _load(given: Given) -> Outcome:
    """Half the rating for 15 seconds, judged by temperature."""
    if given.number("temperature") > _HOTTEST_C:
        raise AmountProblem("No battery is tested so hot. Is the unit right, °F or °C? Mend it.", field="temperature_c")
    tested = judge_load_test(
        measured_v=given.number("measured"),
        cold_cranking_a=given.number("rating"),
        temperature_c=given.number("temperature"),
        table=LoadTable(points=tuple(given.pairs("table")), source="as entered"),
        load_a=given.number_or_none("load"),
    )
    main = Figure("Voltage under load", tested.measured_v, "V", decimals=2, entered="measured")
    band = Band(round(tested.minimum_v, 2), None, "V", near_percent=1, source="the table, at this temperature")
    judged = given.judge(main, band)
    doubts = _doubts(given, tested)
    verdict = "This cannot be judged" if doubts else "It does not hold up" if judged.is_out else "It holds up"
    notes = [f"{doubt[0].upper()}{doubt[1:]}." for doubt in doubts]
    if not doubts and judged.is_out:
        notes.append("Charge it, let it rest and test again before you condemn it; look at posts and clamps too.")
    return Outcome(
        f"{verdict}: {judged.shown} after 15 s, {judged.low} needed at this temperature.",
        main=main,
        figures=(
            Figure("Load to draw", tested.load_a, "A"),
            Figure("Least voltage", round(tested.minimum_v, 2), "V", decimals=2),
        ),
        band=None if doubts else band,
        not_judged=doubts[0] if doubts else "",
        warnings=charging_warnings(kind_of(given), given.number("temperature"), percent=_percent_before(given)),
        notes=notes,
    )


def _percent_before(given: Given) -> float | None:
    """How full it was by its voltage at rest, where that was measured and a table fits."""
    rest_v, table = given.number_or_none("rest"), _REST_TABLES.get(kind_of(given))
    if rest_v is None or table is None:
        return None
    if not _AT_REST_V[0] <= rest_v <= _AT_REST_V[1]:
        raise AmountProblem(
            f"{rest_v:g} V is not what a 12 V battery has at rest. Measure it again, off charge and without load.",
            field="rest_v",
        )
    return charge_at_rest(rest_v=rest_v, table=table).percent


def _doubts(given: Given, tested: LoadTest) -> list[str]:
    """Why the test says nothing of the battery, in words; empty where it does."""
    kind, load_a, rest_v = kind_of(given), given.number_or_none("load"), given.number_or_none("rest")
    doubts = []
    if kind in (GEL_KIND, LITHIUM_KIND):
        doubts.append(f"the table is for flooded and AGM starting batteries; test a {name_of(kind)} one by its maker's")
    percent = _percent_before(given)
    if percent is not None and not reaches(percent, _CHARGED_ENOUGH):
        doubts.append(
            f"at rest it was about {percent:.0f} % charged. Charge it first: a low battery fails this test even "
            "when it is sound"
        )
    unloaded_v = rest_v if rest_v is not None else _UNLOADED_V
    if tested.measured_v > unloaded_v - _LEAST_SAG_V:
        doubts.append("hardly any load was drawn, as the voltage did not sag")
    elif load_a is None:
        doubts.append("the load that was drawn is not known; the table holds for half the rating")
    elif not tested.load_fits:
        doubts.append(
            f"the load was not near {given.show(tested.load_a, 'A')}, half the rating: the limit does not fit it. Test "
            "again"
        )
    return doubts


def _charging(given: Given) -> Outcome:
    """The charging voltage against the window at the battery's temperature."""
    kind, cells = kind_of(given), CELLS[given.choice("cells")]
    low_v, high_v = given.number("low"), given.number("high")
    per_cell_v = (low_v + high_v) / 2 / cells
    if not _A_CELL_CHARGES_AT[0] <= per_cell_v <= _A_CELL_CHARGES_AT[1]:
        raise AmountProblem(
            f"This window is not one of a battery with {cells} cells ({2 * cells} V). "
            "Write the window for it, or choose the other battery.",
            field="low_v",
        )
    measured_v = given.number("measured")
    if not _NO_CHARGE_V * cells <= measured_v <= _NO_BATTERY_V * cells:
        raise AmountProblem(
            f"{measured_v:g} V is no charging voltage of a {2 * cells} V battery. Check the figure, "
            "and which battery is chosen.",
            field="measured_v",
        )
    window = ChargingWindow(
        low_v=low_v * CELLS_OF_12_V / cells,
        high_v=high_v * CELLS_OF_12_V / cells,
        reference_c=given.number("reference"),
        millivolts_per_c_per_cell=0.0 if kind == LITHIUM_KIND else given.number("change"),
        source="as entered",
    )
    temperature_c = given.number_or_none("temperature")
    charging = judge_charging(measured_v=measured_v, window=window, temperature_c=temperature_c, cells=cells)
    main = Figure("Charging voltage", measured_v, "V", decimals=2, entered="measured")
    band = Band(round(charging.low_v, 2), round(charging.high_v, 2), "V", source="the window, at this temperature")
    judged = given.judge(main, band)
    warnings = charging_warnings(kind, temperature_c)
    doubt = _why_no_window(kind, low_v, high_v, cells) or (
        "at this temperature it must not be charged" if warnings else ""
    )
    said = {
        Standing.WITHIN: f"Within {judged.band}.",
        Standing.BELOW: f"Too low: {judged.band} is wanted.",
        Standing.ABOVE: f"Too high: {judged.band} is wanted.",
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
    standing = judged.standing or Standing.WITHIN
    return Outcome(
        f"{judged.shown} at the battery. {said[standing] if not doubt else ''}".strip(),
        main=main,
        figures=()
        if doubt
        else (
            Figure("At least", round(charging.low_v, 2), "V", decimals=2),
            Figure("At most", round(charging.high_v, 2), "V", decimals=2),
        ),
        band=None if doubt else band,
        not_judged=doubt,
        warnings=warnings,
        notes=() if doubt else notes[standing],
    )


def _why_no_window(kind: str, low_v: float, high_v: float, cells: int) -> str:
    """Why the window that was filled in is not for this battery; empty where it was typed for it."""
    scale = cells / CELLS_OF_12_V
    is_nominal = (low_v, high_v) == (CHARGING_12_V.low_v * scale, CHARGING_12_V.high_v * scale)
    if kind in (GEL_KIND, LITHIUM_KIND) and is_nominal:
        return f"the window filled in is for flooded and AGM batteries; write the maker's for this {name_of(kind)} one"
    return ""


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
                "rating",
                "Cold-cranking amps",
                Kind.CURRENT,
                "A",
                argument="cold_cranking_a",
                least=50,
                most=3000,
                hint="On the label.",
            ),
            KIND,
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
                least=0,
                most=3000,
                hint="As the tester shows it; without it nothing is judged.",
            ),
            Quantity(
                "rest",
                "Voltage at rest before",
                Kind.VOLTAGE,
                "V",
                required=False,
                argument="rest_v",
                hint="Tells whether it was charged enough, flooded or AGM.",
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
        cautions=(NEVER_CHARGE, BATTERIES, _LOAD, DISCONNECT, SHORT_CIRCUIT),
        logs_as="Battery voltage under load",
        example=Example(
            {"rating": "650 A", "measured": "9.6 V", "temperature": "20 °C", "load": "325 A"},
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
            KIND,
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
        cautions=(NEVER_CHARGE, BATTERIES, ROTATING, CARBON_MONOXIDE, SHORT_CIRCUIT, DIRECT_CURRENT),
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
