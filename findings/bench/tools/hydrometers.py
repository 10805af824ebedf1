"""The hydrometer: every cell of a flooded battery by the specific gravity of its acid."""

from __future__ import annotations

from engineering.amounts import AmountProblem, exceeds
from engineering.electrical.nominal import CELL_SPREAD, FLOODED_GRAVITY, GRAVITY_77_F, GRAVITY_80_F
from engineering.electrical.state_of_charge import (
    GravityCorrection,
    cell_spread,
    charge_by_gravity,
    corrected_gravity,
)
from engineering.measures import Kind
from findings.bench.battery_kinds import FLOODED_KIND, NEVER_CHARGE, charging_warnings, frozen_warning
from findings.bench.tool import (
    Band,
    Column,
    Example,
    Figure,
    Given,
    Group,
    Outcome,
    Preset,
    Quantity,
    Rows,
    Table,
    Told,
    Tool,
)
from findings.bench.tools.batteries import DISCONNECT, PER_10_F_IN_C
from findings.cautions import BATTERIES


def _hydrometer(given: Given) -> Outcome:
    """Every cell corrected for temperature, the weakest said first, and how far the cells lie apart."""
    per_10_f, reference_c = given.number("correction"), given.number("reference")
    correction = GravityCorrection(reference_c, per_10_f / PER_10_F_IN_C, "as entered")
    if not 0 < given.number("spread") <= _MOST_SPREAD:
        raise AmountProblem("Cells differ a little: the limit is above 0 and up to 0.150.", field="spread")
    if not 0 <= per_10_f <= _MOST_CORRECTION:
        raise AmountProblem("The correction is from 0 to 0.010 for 10 °F: 0.004 is usual.", field="correction")
    numbers, temperature_c = given.row_numbers("readings"), given.number("temperature")
    corrected = []
    for number, gravity in zip(numbers, given.numbers("readings"), strict=True):
        try:
            corrected.append(
                corrected_gravity(read_gravity=gravity, temperature_c=temperature_c, correction=correction)
            )
        except AmountProblem as problem:
            raise AmountProblem(problem.sentence, field=problem.field, row=number) from problem
    percents = [charge_by_gravity(gravity=max(gravity, 1.0), table=FLOODED_GRAVITY).percent for gravity in corrected]
    spread = cell_spread([max(gravity, 1.0) for gravity in corrected])
    weakest = numbers[spread.weakest_cell - 1]
    main = Figure("Between the cells", spread.spread, "SG", decimals=3)
    band = Band(None, given.number("spread"), "SG", source="the limit entered")
    judged = given.judge(main, band)
    low, high = (given.show(end, "%", decimals=0) for end in (min(percents), max(percents)))
    cells = (
        f"Cell {weakest} is weakest, about {low} charged, and lies {judged.shown} below the best, about {high} charged"
    )
    behind = [
        number
        for number, gravity in zip(numbers, corrected, strict=True)
        if number != weakest and exceeds(spread.highest - gravity, given.number("spread"))
    ]
    if judged.is_out and behind:
        word = "is" if len(behind) == 1 else "are"
        cells += f"; {_cells(behind)} {word} too low as well"
    if not spread.spread:
        cells = f"All cells are alike, about {high} charged"
    is_strong = exceeds(spread.highest, _STRONGEST)
    if is_strong:
        strongest = given.show(spread.highest, "SG", decimals=3)
        cells = f"The acid has up to {strongest}, more than a full battery's: how full it is cannot be told by it"
    is_low = max(percents) < _SPREAD_COUNTS_FROM
    doubt = "" if judged.is_out else _doubt(len(numbers), spread.highest, is_low=is_low)
    rows: list[list[float | str | None]] = [
        [f"Cell {number}", gravity, None if exceeds(gravity, _STRONGEST) else percent]
        for number, gravity, percent in zip(numbers, corrected, percents, strict=True)
    ]
    return Outcome(
        f"{cells}: too far apart. Charge it in full and measure again; a cell that stays behind has failed."
        if judged.is_out
        else f"{cells}. The whole battery is low: charge it in full, and compare the cells then."
        if is_low
        else f"{cells}."
        if doubt
        else f"{cells}: within the {judged.high} allowed.",
        main=main,
        figures=(
            Told("Weakest cell", str(weakest)),
            Figure("Its specific gravity", spread.lowest, "SG", decimals=3),
            *([] if is_strong else [Figure("Charge of the weakest cell", min(percents), "%", decimals=0)]),
        ),
        band=band,
        not_judged=doubt,
        warnings=charging_warnings(FLOODED_KIND, temperature_c) or frozen_warning(spread.lowest, temperature_c),
        tables=(
            Table(
                "Cells at the reference temperature",
                (Column("Cell"), Column("Specific gravity", "SG", decimals=3), Column("Charge", "%", decimals=0)),
                rows,
            ),
        ),
    )


def _cells(numbers: list[int]) -> str:
    """Cells in words: "cell 4", "cells 4 and 5"."""
    if len(numbers) == 1:
        return f"cell {numbers[0]}"
    return f"cells {', '.join(map(str, numbers[:-1]))} and {numbers[-1]}"


def _doubt(count: int, highest: float, *, is_low: bool) -> str:
    """Why cells that lie close together say nothing yet; empty where they do."""
    if is_low:
        return "the cells of a low battery are compared after it was charged in full"
    if exceeds(highest, _STRONGEST):
        return (
            "no full battery has acid so strong: acid was added, the temperature is another, or the hydrometer is "
            "misread"
        )
    if count not in _CELLS_OF_A_BATTERY:
        return f"a battery has 3, 4, 6 or 12 cells, and {count} were read: the others may differ"
    return ""


_STRONGEST = 1.3
"""Acid of a full battery is up to 1.300 at 80 °F. Common practice, no source."""
_CELLS_OF_A_BATTERY = (3, 4, 6, 12)
_MOST_CORRECTION = 0.01
"""For 10 °F: more than twice of any that is published."""
_MOST_SPREAD = 0.15
"""More between two cells is no limit: one is full and the other nearly flat. Common practice, no source."""
_SPREAD_COUNTS_FROM = 75.0
"""Percent of the best cell from which cells are compared. A car maker's manual (2002) compares after charging."""


TOOLS = (
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
                "Correction",
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
        cautions=(NEVER_CHARGE, BATTERIES, DISCONNECT),
        presets=(
            Preset("0.004 from 80 °F", {"correction": "0.004", "reference": "80 °F"}, source=GRAVITY_80_F.source),
            Preset("0.003 from 77 °F", {"correction": "0.003", "reference": "77 °F"}, source=GRAVITY_77_F.source),
        ),
        is_of_instruments=True,
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
