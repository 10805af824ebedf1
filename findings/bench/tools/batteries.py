"""Batteries: charge by voltage at rest and by hydrometer. The tables are there to be edited."""

from __future__ import annotations

from engineering.amounts import AmountProblem
from engineering.electrical.nominal import (
    AGM,
    AGM_HIGHER,
    CELL_SPREAD,
    FLOODED,
    FLOODED_GRAVITY,
    GRAVITY_77_F,
    GRAVITY_80_F,
)
from engineering.electrical.state_of_charge import (
    GravityCorrection,
    RestTable,
    cell_spread,
    charge_at_rest,
    charge_by_gravity,
    corrected_gravity,
)
from engineering.measures import Kind
from findings.bench.cautions import BATTERIES, SHORT_CIRCUIT
from findings.bench.tool import (
    Band,
    Bounds,
    Choice,
    Column,
    Example,
    Figure,
    Given,
    Group,
    Inputs,
    Outcome,
    Preset,
    Quantity,
    Rows,
    Table,
    Told,
    Tool,
)

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
    reference_c = given.number("reference")
    table = RestTable(
        points=tuple(given.pairs("table")),
        reference_c=reference_c,
        volts_per_c=None if per_10_f is None else per_10_f / PER_10_F_IN_C,
        source="as entered",
    )
    cells = CELLS[given.choice("cells")]
    temperature_c = given.number_or_none("temperature")
    charge = charge_at_rest(rest_v=given.number("rest"), table=table, temperature_c=temperature_c, cells=cells)
    notes = []
    if charge.is_above_table:
        notes.append("Above the table's top: surface charge is likely. Take it off with a load and let it rest again.")
    if charge.is_below_table:
        notes.append("Below the table's last row: charge it slowly, and watch for one dead cell, about 2 V low.")
    if temperature_c is None or per_10_f is None:
        notes.append("Not corrected for temperature.")
    word = "at most " if charge.is_below_table and charge.percent else "about "
    return Outcome(
        f"The battery is {word}{given.show(charge.percent, '%', decimals=0)} charged.",
        main=Figure("State of charge", charge.percent, "%", decimals=0),
        figures=(Figure("Voltage at the reference temperature", charge.corrected, "V", decimals=2),),
        band=given.band("limits"),
        notes=notes,
    )


def _hydrometer(given: Given) -> Outcome:
    """Every cell corrected for temperature, and how far the cells lie apart."""
    per_10_f, reference_c = given.number("correction"), given.number("reference")
    correction = GravityCorrection(reference_c, per_10_f / PER_10_F_IN_C, "as entered")
    numbers = given.row_numbers("readings")
    corrected = []
    for number, gravity in zip(numbers, given.numbers("readings"), strict=True):
        try:
            corrected.append(
                corrected_gravity(
                    read_gravity=gravity, temperature_c=given.number("temperature"), correction=correction
                )
            )
        except AmountProblem as problem:
            raise AmountProblem(problem.sentence, field=problem.field, row=number) from problem
    percents = [charge_by_gravity(gravity=gravity, table=FLOODED_GRAVITY).percent for gravity in corrected]
    spread = cell_spread(corrected)
    weakest = numbers[spread.weakest_cell - 1]
    limit = given.number("spread")
    is_wide = spread.spread > limit + 1e-9
    average = sum(percents) / len(percents)
    judged = f"cell {weakest} lies {given.show(spread.spread, 'SG', decimals=3)} below the best"
    rows: list[list[float | str | None]] = [
        [f"Cell {number}", gravity, percent]
        for number, gravity, percent in zip(numbers, corrected, percents, strict=True)
    ]
    return Outcome(
        f"The battery is about {given.show(average, '%', decimals=0)} charged; {judged}"
        + (", too far: charge it in full and measure again." if is_wide else ", within the spread allowed."),
        main=Figure("Between the cells", spread.spread, "SG", decimals=3),
        figures=(
            Told("Weakest cell", str(weakest)),
            Figure("Its specific gravity", spread.lowest, "SG", decimals=3),
            Figure("Charge, middle of all cells", average, "%", decimals=0),
        ),
        band=Band(None, limit, "SG", source="the limit entered"),
        tables=(
            Table(
                "Cells at the reference temperature",
                (Column("Cell"), Column("Specific gravity", "SG", decimals=3), Column("Charge", "%", decimals=0)),
                rows,
            ),
        ),
    )


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
        purpose="How full a lead-acid battery is, by its voltage after hours of rest.",
        fields=(
            Quantity(
                "rest",
                "Voltage at rest",
                Kind.VOLTAGE,
                "V",
                argument="rest_v",
                hint="8 to 24 h after charge or load, AGM at least 2 h.",
            ),
            BATTERY,
            Quantity(
                "temperature",
                "Battery temperature",
                Kind.TEMPERATURE,
                "degC",
                required=False,
                argument="temperature_c",
                hint="Empty: no correction.",
            ),
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
        formula="between two rows on a straight line; voltage + correction × (temperature − reference)",
        source="Flooded: battery makers' FAQ table at 80 °F, ±0.024 V per 10 °F (common practice)",
        cautions=(BATTERIES, DISCONNECT, SHORT_CIRCUIT),
        presets=(
            Preset("Flooded", _rest_inputs(FLOODED), source=FLOODED.source),
            Preset("AGM", _rest_inputs(AGM), source=AGM.source),
            Preset("AGM, higher", _rest_inputs(AGM_HIGHER), source=AGM_HIGHER.source),
        ),
        logs_as="Battery state of charge",
        example=Example(
            {"rest": "12.40 V", "cells": "6", "temperature": "80 °F", **_rest_inputs(FLOODED)},
            expects={"State of charge": "69 %"},
            source="Battery makers' FAQ table, interpolated: 12.40 V are 69.05 %",
        ),
    ),
    Tool(
        slug="hydrometer",
        title="Hydrometer",
        group=Group.BATTERIES,
        purpose="Each cell's acid corrected for temperature, and the cell that lies behind.",
        fields=(
            Rows(
                "readings",
                "Specific gravity",
                columns=(
                    Quantity("gravity", "Specific gravity", Kind.SPECIFIC_GRAVITY, "SG", argument="read_gravity"),
                ),
                row_label="Cell",
                start=6,
                least=2,
                most=12,
                argument="read_gravity",
                hint="Not after topping up with water, and not after an equalizing charge.",
            ),
            Quantity("temperature", "Acid temperature", Kind.TEMPERATURE, "degC", argument="temperature_c"),
            Quantity(
                "spread",
                "Most between cells",
                Kind.SPECIFIC_GRAVITY,
                "SG",
                default=f"{CELL_SPREAD:.3f}",
                hint="Nominal, from memory; the battery maker's comes first.",
            ),
            Quantity(
                "correction",
                _CORRECTION,
                fixed="per 10 °F",
                width="two-thirds",
                default=f"{GRAVITY_80_F.per_c * PER_10_F_IN_C:.3g}",
                section="Temperature correction",
            ),
            Quantity("reference", "From", Kind.TEMPERATURE, "degC", default="80 °F", section="Temperature correction"),
        ),
        work=_hydrometer,
        formula="corrected = read + 0.004 × (°F − 80) / 10; charge from the corrected value in a table",
        source="A vehicle maker's service manual (2002) and battery makers' FAQ tables (common practice)",
        cautions=(BATTERIES, DISCONNECT),
        presets=(
            Preset("0.004 from 80 °F", {"correction": "0.004", "reference": "80 °F"}, source=GRAVITY_80_F.source),
            Preset("0.003 from 77 °F", {"correction": "0.003", "reference": "77 °F"}, source=GRAVITY_77_F.source),
        ),
        logs_as="Battery cell spread",
        example=Example(
            {
                "readings": ["1.270", "1.270", "1.265", "1.270", "1.230", "1.270"],
                "temperature": "20 °F",
                "spread": "0.050",
                "correction": "0.004",
                "reference": "80 °F",
            },
            expects={"Weakest cell": "5", "Its specific gravity": "1.206 SG", "Between the cells": "0.04 SG"},
            source="Correction of a service manual: 1.270 at 20 °F is 1.246, so 1.230 is 1.206; invented cells",
        ),
    ),
)
