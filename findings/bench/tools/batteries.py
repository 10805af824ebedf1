"""Batteries: charge by voltage at rest and by hydrometer. The tables are there to be edited."""

from __future__ import annotations

from engineering.amounts import AmountProblem, exceeds, reaches
from engineering.electrical.freezing import HOTTEST_CHARGE_C
from engineering.electrical.nominal import (
    AGM,
    AGM_HIGHER,
    FLOODED,
)
from engineering.electrical.state_of_charge import (
    CELLS_OF_12_V,
    Charge,
    RestTable,
    charge_at_rest,
)
from engineering.measures import Kind
from findings.bench.battery_kinds import (
    AGM_KIND,
    FLOODED_KIND,
    KIND,
    NEVER_CHARGE,
    battery_temperature,
    charging_warnings,
    kind_of,
    why_not_by_voltage,
)
from findings.bench.judged import Judged
from findings.bench.tool import (
    Bounds,
    Choice,
    Example,
    Figure,
    Given,
    Group,
    Inputs,
    Outcome,
    Preset,
    Quantity,
    Rows,
    Tool,
)
from findings.cautions import BATTERIES, SHORT_CIRCUIT

DISCONNECT = (
    "Switch chargers and loads off before you connect or disconnect; a spark at the post can burst the battery."
)
PER_10_F_IN_C = 10 / 1.8
BATTERY = Choice(
    "cells", "Battery", [("6", "12 V"), ("12", "24 V"), ("3", "6 V")], default="6", hint="What the meter was across."
)
CELLS = {"6": 6, "12": 12, "3": 3}


def _charge(given: Given) -> Outcome:
    """State of charge from the voltage at rest."""
    per_10_f = given.number_or_none("correction")
    if per_10_f is not None and not 0 <= per_10_f <= _MOST_CORRECTION_V:
        raise AmountProblem("The correction is from 0 to 0.1 V for 10 °F: 0.024 V is usual.", field="correction")
    reference_c = given.number("reference")
    table = RestTable(
        points=tuple(given.pairs("table")),
        reference_c=reference_c,
        volts_per_c=None if per_10_f is None else per_10_f / PER_10_F_IN_C,
        source="as entered",
    )
    _refuse_a_charge_that_cannot_be(given)
    kind, cells, rest_v = kind_of(given), CELLS[given.choice("cells")], given.number("rest")
    temperature_c = given.number_or_none("temperature")
    rest = given.show(rest_v, "V", entered="rest")
    no_table = why_not_by_voltage(given, table)
    if no_table:
        return Outcome(
            f"{rest} at rest.",
            not_judged=no_table,
            warnings=charging_warnings(kind, temperature_c),
            condition=kind,
            may_be_logged=False,
        )
    _refuse_another_battery(rest_v, cells)
    if rest_v / cells < _DEAD_CELL_V:
        return Outcome(
            f"{rest} at rest is far below any charge: shorted cells, a deep discharge, a meter that does not touch "
            "both posts, or it was not at rest.",
            not_judged="no table of charge reaches so low",
            warnings=charging_warnings(kind, temperature_c, percent=0),
            notes=[
                "Do not charge it fast. Charge it slowly under watch, and replace it where a cell stays about 2 V low."
            ],
        )
    charge = charge_at_rest(rest_v=rest_v, table=table, temperature_c=temperature_c, cells=cells)
    is_corrected = temperature_c is not None and per_10_f is not None
    main = Figure("State of charge", charge.percent, "%", decimals=0)
    judged = given.judge(main, given.band("limits"))
    doubt = _why_in_doubt(given, charge, table, is_out=judged.is_out)
    return Outcome(
        _sentence(rest, charge, judged, has_surface_charge=doubt == _SURFACE_CHARGE),
        main=main,
        figures=(_looked_up(charge, is_corrected=is_corrected),),
        band=given.band("limits"),
        not_judged=doubt,
        warnings=charging_warnings(kind, temperature_c, percent=charge.percent),
        notes=_notes(charge, is_corrected=is_corrected),
    )


def _looked_up(charge: Charge, *, is_corrected: bool) -> Figure:
    """What was looked up in the table: as typed, or corrected."""
    if is_corrected:
        return Figure("Voltage at the reference temperature", charge.corrected, "V", decimals=3)
    return Figure("Voltage as read, not corrected for temperature", charge.corrected, "V", entered="rest")


def _sentence(rest: str, charge: Charge, judged: Judged, *, has_surface_charge: bool) -> str:
    """How full it is, and not more certain than the voltage tells."""
    if has_surface_charge:
        return f"{rest} at rest is more than a full battery has: surface charge, so how full it is cannot be told."
    wanted = f", less than the {judged.low} wanted" if judged.is_out else ""
    if charge.is_below_table and not charge.percent:
        return f"{rest} at rest is below the table: it is flat, or one cell is dead{wanted}."
    word = "at most " if charge.is_below_table else "about "
    return f"{rest} at rest: the battery is {word}{judged.shown} charged{wanted}."


_DEAD_CELL_V = 1.5
"""Below this average a cell is no cell at rest: 9 V of a 12 V battery. Common practice, no source."""
_AT_REST_V = (1.9, 2.2)
_MOST_CORRECTION_V = 0.1
"""For 10 °F: four times of any that is published."""
_SURFACE_CHARGE = "surface charge hides how full it is; remove it with a load and let it rest again"
_SURFACE_V = 0.1
"""So far above its table's top, for six cells, a battery has surface charge (common practice, no source)."""
_FAR_C = 15.0
"""So far from its temperature a table without a correction no longer holds (common practice, no source)."""


def _refuse_a_charge_that_cannot_be(given: Given) -> None:
    band = given.band("limits")
    if band is not None and band.low is not None and not 0 < band.low <= 100:
        raise AmountProblem("The charge wanted is more than 0 % and at most 100 %.", field="limits")


def _refuse_another_battery(rest_v: float, cells: int) -> None:
    """Refuse a voltage at rest that fits a battery with another number of cells, and not this one."""
    for others in CELLS.values():
        fits = _AT_REST_V[0] <= rest_v / others <= _AT_REST_V[1]
        if others != cells and fits and not _DEAD_CELL_V <= rest_v / cells <= _AT_REST_V[1] + 0.1:
            raise AmountProblem(
                f"{rest_v:g} V fits a battery of {2 * others} V, not one of {2 * cells} V. Choose the battery.",
                field="cells",
            )


def _why_in_doubt(given: Given, charge: Charge, table: RestTable, *, is_out: bool) -> str:
    """Why the charge that the table gives is not to be judged; empty where it is."""
    temperature_c = given.number_or_none("temperature")
    top_v = table.points[-1][0]
    if temperature_c is not None and reaches(temperature_c, HOTTEST_CHARGE_C):
        return "let it cool first, no table holds for a battery so hot"
    if exceeds(charge.corrected * CELLS_OF_12_V / CELLS[given.choice("cells")], top_v + _SURFACE_V):
        return _SURFACE_CHARGE
    if table.volts_per_c is None and temperature_c is not None and abs(temperature_c - table.reference_c) > _FAR_C:
        return "the table holds near its own temperature, and none is published for this one"
    if charge.is_below_table and charge.percent and not is_out and given.band("limits") is not None:
        return "it lies below the table's last row, so how much charge is left is not known"
    return ""


def _notes(charge: Charge, *, is_corrected: bool) -> list[str]:
    notes = []
    if charge.is_above_table:
        notes.append("Above the table's top: it may have surface charge. Remove it with a load and let it rest again.")
    if charge.is_below_table:
        notes.append("Below the table's last row: charge it slowly, and watch for one dead cell, about 2 V low.")
    if not is_corrected:
        notes.append("Not corrected for temperature.")
    return notes


def volts_and_percents(table: RestTable) -> list[tuple[str, str]]:
    """The rows of a table as a person would type them, the full battery first."""
    return [(f"{volts:g} V", f"{percent:g} %") for volts, percent in sorted(table.points, reverse=True)]


def _rest_inputs(table: RestTable) -> Inputs:
    correction = "" if table.volts_per_c is None else f"{table.volts_per_c * PER_10_F_IN_C:.3g}"
    return {
        "table": volts_and_percents(table),
        "correction": correction,
        "reference": f"{table.reference_c * 1.8 + 32:.0f} °F",
    }


_CHARGE_TABLE = Rows(
    "table",
    "Voltage at rest to charge, for 12 V",
    columns=(
        Quantity("volts", "Voltage at rest", Kind.VOLTAGE, "V"),
        Quantity("percent", "Charge", Kind.PERCENT, "%"),
    ),
    row_label="Row",
    rows=volts_and_percents(FLOODED),
    start=5,
    least=2,
    most=12,
    argument="points",
    hint="The battery maker's own table comes first: makers differ by 0.2 V.",
    section="Table",
)
_CORRECTION = "Correction"

TOOLS = (
    Tool(
        slug="charge-at-rest",
        title="State of charge at rest",
        group=Group.BATTERIES,
        purpose="How full a lead-acid battery is, by its voltage after hours of rest. Not for lithium.",
        fields=(
            Quantity(
                "rest",
                "Voltage at rest",
                Kind.VOLTAGE,
                "V",
                argument="rest_v",
                least=0,
                most=40,
                hint="8 to 24 h after charge or load, AGM at least 2 h.",
            ),
            BATTERY,
            KIND,
            battery_temperature("no correction"),
            Bounds(
                "limits",
                "Charge wanted",
                Kind.PERCENT,
                "%",
                parameter="Battery state of charge",
                sides="low",
            ),
            _CHARGE_TABLE,
            Quantity(
                "correction",
                _CORRECTION,
                fixed="V per 10 °F",
                width="two-thirds",
                required=False,
                default=f"{(FLOODED.volts_per_c or 0) * PER_10_F_IN_C:.3g}",
                section="Temperature of the table",
                hint="Added above the table's temperature. Empty: none published.",
            ),
            Quantity(
                "reference",
                "Table holds at",
                Kind.TEMPERATURE,
                "degC",
                default="80 °F",
                section="Temperature of the table",
            ),
        ),
        work=_charge,
        formula="between two rows on a straight line; voltage + correction × (temperature − reference) where both "
        "correction and temperature are given, else the voltage as read",
        source="Flooded: battery makers' FAQ table at 80 °F, ±0.024 V per 10 °F (common practice)",
        cautions=(NEVER_CHARGE, BATTERIES, DISCONNECT, SHORT_CIRCUIT),
        presets=(
            Preset("Flooded", {"kind": FLOODED_KIND, **_rest_inputs(FLOODED)}, source=FLOODED.source),
            Preset("AGM", {"kind": AGM_KIND, **_rest_inputs(AGM)}, source=AGM.source),
            Preset("AGM, higher", {"kind": AGM_KIND, **_rest_inputs(AGM_HIGHER)}, source=AGM_HIGHER.source),
        ),
        logs_as="Battery state of charge",
        example=Example(
            {"rest": "12.40 V", "cells": "6", "kind": FLOODED_KIND, "temperature": "80 °F", **_rest_inputs(FLOODED)},
            expects={"State of charge": "69 %"},
            source="Battery makers' FAQ table, interpolated: 12.40 V are 69.05 %",
        ),
    ),
)
