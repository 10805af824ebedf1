"""The load test of a starting battery."""

from __future__ import annotations

from engineering.amounts import AmountProblem, reaches
from engineering.electrical.load_test import LoadTable, LoadTest, judge_load_test
from engineering.electrical.nominal import AGM, FLOODED, LOAD_TEST
from engineering.electrical.state_of_charge import charge_at_rest
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
from findings.bench.tool import (
    Band,
    Example,
    Figure,
    Given,
    Group,
    Outcome,
    Quantity,
    Rows,
    Tool,
    ToolContext,
)
from findings.bench.tools.batteries import DISCONNECT
from findings.cautions import BATTERIES, SHORT_CIRCUIT

_CHARGED_ENOUGH = 75.0
"""Percent, before a load test. Common practice; a vehicle maker's manual asks for 75 % or more."""
_HOTTEST_C = 60.0
"""Common practice, no source: beyond it somebody wrote °F for °C."""
_REST_TABLES = {FLOODED_KIND: FLOODED, AGM_KIND: AGM}
_AT_REST_V = (9.0, 13.2)
"""What a 12 V battery can have at rest, flat and with surface charge. Common practice, no source."""
_UNLOADED_V = 12.65
_APART_V = 0.05
"""Two readings of one voltage may differ by so much. Common practice, no source."""
_LEAST_SAG_V = 0.5
"""A starting battery under half its rating sags by far more; else no load was drawn. Common practice, no source."""
_LOAD = (
    "A load tester gets hot and sparks: switch its load off before you take the clamps off, and keep the vents clear."
)


def _load(given: Given) -> Outcome:
    """Half the rating for 15 seconds, judged by temperature."""
    if given.number("temperature") > _HOTTEST_C:
        raise AmountProblem(
            "No battery is tested at such a temperature. Check whether the unit is °F or °C.", field="temperature_c"
        )
    tested = judge_load_test(
        measured_v=given.number("measured"),
        cold_cranking_a=given.number("rating"),
        temperature_c=given.number("temperature"),
        table=LoadTable(points=tuple(given.pairs("table")), source="as entered"),
        load_a=given.number_or_none("load"),
    )
    rest_v = given.number_or_none("rest")
    if rest_v is not None and tested.measured_v > rest_v + _APART_V:
        raise AmountProblem(
            "No battery has more under load than at rest: measure both again, at its posts.", field="measured_v"
        )
    main = Figure("Voltage under load", tested.measured_v, "V", decimals=2, entered="measured")
    band = Band(round(tested.minimum_v, 2), None, "V", near_percent=1, source="the table, at this temperature")
    judged = given.judge(main, band)
    doubts = _doubts(given, tested)
    verdict = "This cannot be judged" if doubts else "It does not hold up" if judged.is_out else "It holds up"
    is_for_kind = kind_of(given) not in (GEL_KIND, LITHIUM_KIND)
    wanted = f", {judged.low} needed at this temperature{' under half the rating' if doubts else ''}"
    notes = [f"{doubt[0].upper()}{doubt[1:]}." for doubt in doubts]
    if not doubts and judged.is_out:
        notes.append("Charge it, let it rest and test again before you condemn it; look at posts and clamps too.")
    return Outcome(
        f"{verdict}: {judged.shown} after 15 s{wanted if is_for_kind else ''}.",
        main=main,
        figures=(
            Figure("Load to draw", tested.load_a, "A"),
            Figure("Least voltage", round(tested.minimum_v, 2), "V", decimals=2),
        )
        if is_for_kind
        else (),
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


def _table_rows(at: ToolContext) -> list[tuple[str, str]]:
    """The nominal table in the shop's degrees, the warmest first: 20 °C is 68 °F, exactly."""
    us = at.system == "us"
    return [
        (f"{celsius * 1.8 + 32:g} °F" if us else f"{celsius:g} °C", f"{volts:g} V")
        for celsius, volts in sorted(LOAD_TEST.points, reverse=True)
    ]


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
                rows=_table_rows,
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
            {"rating": "650 A", "kind": FLOODED_KIND, "measured": "9.6 V", "temperature": "20 °C", "load": "325 A"},
            expects={"Load to draw": "325 A", "Least voltage": "9.6 V", "Voltage under load": "9.6 V"},
            says="It holds up",
            source="Three vehicle makers' service manuals: 9.6 V at 20 °C; half of 650 A",
        ),
    ),
)
