"""The voltage at which a battery is charged, by its kind and temperature."""

from __future__ import annotations

from engineering.amounts import AmountProblem, RangePosition
from engineering.electrical.charging import ChargingWindow, judge_charging
from engineering.electrical.nominal import CHARGING_12_V
from engineering.electrical.state_of_charge import CELLS_OF_12_V
from engineering.measures import Kind
from findings.bench.battery_kinds import (
    GEL_KIND,
    KIND,
    LITHIUM_KIND,
    NEVER_CHARGE,
    battery_temperature,
    charging_warnings,
    kind_of,
    name_of,
)
from findings.bench.tool import (
    Band,
    Example,
    Figure,
    Given,
    Group,
    Outcome,
    Prefill,
    Preset,
    Quantity,
    Tool,
    ToolContext,
)
from findings.bench.tools.batteries import BATTERY, CELLS
from findings.bench.wire_fields import DIRECT_CURRENT
from findings.cautions import BATTERIES, CARBON_MONOXIDE, ROTATING, SHORT_CIRCUIT

_CHARGING = "Charging voltage"
_NO_CHARGE_V, _NO_BATTERY_V = 1.75, 3.0
"""Volts a cell beyond which nothing charges it, or it is another battery. Common practice, no source."""
_A_CELL_CHARGES_AT = (1.8, 3.2)
"""Volts a cell, the middle of any window of lead-acid: half or twice of it is a window for another battery."""
_LEAST_WINDOW_V, _MOST_WINDOW_V = 2.0, 2.8
"""Volts a cell: less keeps no battery charged, more is an equalizing charge, or a slip. Common practice, no source."""
_GASSING_V = 2.6
"""Volts a cell above which a battery boils its acid off. Common practice, no source."""


def _charging(given: Given) -> Outcome:
    """The charging voltage against the window at the battery's temperature."""
    kind, cells = kind_of(given), CELLS[given.choice("cells")]
    low_v, high_v = given.number("low"), given.number("high")
    per_cell_v = (low_v + high_v) / 2 / cells
    if not _A_CELL_CHARGES_AT[0] <= per_cell_v <= _A_CELL_CHARGES_AT[1]:
        raise AmountProblem(
            f"This window is not one of a battery with {cells} cells ({2 * cells} V). "
            "Enter the window for it, or choose the other battery.",
            field="low_v",
        )
    if low_v < _LEAST_WINDOW_V * cells or high_v > _MOST_WINDOW_V * cells:
        raise AmountProblem(
            f"No {2 * cells} V battery is charged between {low_v:g} and {high_v:g} V. Enter its maker's window.",
            field="low_v" if low_v < _LEAST_WINDOW_V * cells else "high_v",
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
    if measured_v > _GASSING_V * cells and (doubt or judged.is_out):
        warnings.append(
            f"Stop charging: at {judged.shown} a {2 * cells} V battery gets hot and gives off gas that explodes. No "
            "sparks, and air out the compartment first."
        )
    said = {
        RangePosition.WITHIN: f"Within {judged.band}.",
        RangePosition.BELOW: f"Too low: {judged.band} is wanted.",
        RangePosition.ABOVE: f"Too high: {judged.band} is wanted.",
    }
    notes = {
        RangePosition.WITHIN: (),
        RangePosition.BELOW: (
            "Measure at the alternator too: if it is right there, the wires between drop the rest.",
            "Belt, connections, regulator and a battery that is still far from full come next.",
        ),
        RangePosition.ABOVE: (
            "Look at the regulator and its sense wire first; too much voltage gasses batteries and harms electronics.",
        ),
    }
    standing = judged.standing or RangePosition.WITHIN
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

    def default(at: ToolContext) -> Prefill:
        limit = at.limit(_CHARGING)
        value = None if limit is None else getattr(limit, side)
        if limit is not None and value is not None:
            return Prefill(f"{value.normalize():f} {limit.unit}", f"From {at.source_of(limit)}.")
        return Prefill(f"{nominal_v:g} V", "Nominal for 12 V at 25 °C, from memory. The battery maker's comes first.")

    return Quantity(name, label, Kind.VOLTAGE, "V", default=default, argument=f"{side}_v", section="Window")


TOOLS = (
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
            battery_temperature("the window as entered"),
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
                "kind": "flooded",
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
