"""Propulsion tools: the fuel that an engine burns."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal

from engineering.canonical import plain_decimal
from engineering.measures import Kind, convert
from engineering.propulsion import (
    TYPICAL_FUELS,
    TypicalFuel,
    bsfc_g_per_kwh,
    compare_burn,
    fuel_burn_l_per_h,
    words_of_burn,
)
from findings.bench.tool import (
    Band,
    Choice,
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
    ToolProblem,
)
from findings.bench.tools.propulsion import ON_RECORD
from findings.cautions import CARBON_MONOXIDE, FUEL, UNDER_WAY


def _rated_power(at: ToolContext) -> Prefill | None:
    if at.engine is None or at.engine.power is None:
        return None
    return Prefill(f"{plain_decimal(at.engine.power)} {at.engine.power_unit}", f"rated, {ON_RECORD}")


def _typical(what: Callable[[TypicalFuel], str]) -> Callable[[ToolContext], Prefill | None]:
    """A planning figure of the engine's fuel."""

    def prefill(at: ToolContext) -> Prefill | None:
        for fuel in TYPICAL_FUELS:
            if at.engine is not None and at.engine.fuel == fuel.name:
                return Prefill(what(fuel), f"a planning figure for {fuel.name}: {fuel.source}")
        return None

    return prefill


def _consumption(fuel: TypicalFuel) -> str:
    return f"{fuel.bsfc_lb_per_hp_h} lb/hp·h"


def _density(fuel: TypicalFuel) -> str:
    return f"{fuel.density_lb_per_gal} lb/gal"


def _fuel(given: Given) -> Outcome:
    """Fuel burn that a power should take, and what was measured against it."""
    measured, tolerance = given.number_or_none("measured"), given.number_or_none("tolerance")
    power, density, bsfc = _power_made(given, measured), given.number("density"), given.number("bsfc")
    if power <= 0:
        raise ToolProblem("Without power there is nothing to count: an engine burns fuel at idle too.", field="power")
    expected = fuel_burn_l_per_h(power_kw=power, bsfc_g_per_kwh=bsfc, density_kg_per_l=density)
    at_power = f"at {given.show(power, 'kW', like='power')}"
    if measured is None:
        return Outcome(
            f"The engine should burn about {given.show(expected, 'L/h')} {at_power}.",
            main=Figure("Expected fuel rate", expected, "L/h"),
            logs_as="Expected fuel rate",
            condition=at_power,
        )
    if measured <= 0:
        raise ToolProblem("An engine that makes this power burns something: read the meter again.", field="measured")
    if tolerance is None:
        raise ToolProblem("Say by how much the burn may differ.", field="tolerance")
    if tolerance > _MOST_TOLERANCE:
        raise ToolProblem("A burn that may differ by more than half judges nothing.", field="tolerance")
    compared = compare_burn(measured_l_per_h=measured, expected_l_per_h=expected, tolerance=tolerance / 100)
    consumption = bsfc_g_per_kwh(burn_l_per_h=measured, power_kw=power, density_kg_per_l=density)
    if consumption < _LIKELY_G_PER_KWH[0]:
        raise ToolProblem(
            f"No engine makes {given.show(power, 'kW', like='power')} of so little fuel. Check the burn and its unit, "
            "and whether that power was made.",
            field="measured",
        )
    main = Figure("Fuel rate", measured, "L/h", significant=4, like="measured", entered="measured")
    band = _allowed(given, expected, tolerance / 100)
    judged = given.judge(main, band)
    sentence, look_at = words_of_burn(judged.standing or compared.standing)
    is_planning = any(_is_near(bsfc, _g_per_kwh(fuel)) for fuel in TYPICAL_FUELS)
    said = f"{judged.shown} was measured {at_power}, where {given.show(expected, 'L/h', like='measured')} was expected."
    return Outcome(
        f"{judged.shown} was measured {at_power}; a planning figure expects about "
        f"{given.show(expected, 'L/h', like='measured')}."
        if is_planning
        else f"{sentence} {said}",
        main=main,
        figures=(
            Figure("Expected", expected, "L/h", like="measured"),
            Figure("Difference", 100 * compared.difference, "%", decimals=1),
            Figure("Specific consumption, if that power is made", consumption, "g/kW.h"),
        ),
        band=None if is_planning else band,
        not_judged="the specific consumption is a planning figure and not this engine's; write its data sheet's"
        if is_planning
        else "",
        notes=() if is_planning else look_at,
        condition=at_power,
    )


_FULL = "full"

_MOST_TOLERANCE = 50.0

_NEARLY = 0.97
"""From this share of the rated power on, a power is the rated one. Common practice, no source."""

_LIKELY_G_PER_KWH = (150.0, 600.0)
"""What piston engines burn, from the best large diesel to a poor old outboard at speed. Common practice, no source."""

_LIKELY_KG_PER_L = (0.65, 0.95)


def _power_made(given: Given, measured: float | None) -> float:
    """The power of the run: what was typed, or the rated one for planning and at wide-open throttle only."""
    power, rated = given.number_or_none("power"), given.number_or_none("rated")
    at_full = given.choice("run") == _FULL
    if power is not None and rated is not None and power > rated * 1.1:
        raise ToolProblem("That is more than the engine's rated power. Check figure and unit.", field="power")
    if measured is None or at_full:
        if power is None and rated is None:
            raise ToolProblem("Enter the power made, or the rated power.", field="power")
        return power if power is not None else rated or 0.0
    if power is None:
        raise ToolProblem(
            "At part throttle the engine makes less than its rated power. Enter the power made in this run, from the "
            "maker's curve or the load that the unit shows.",
            field="power",
        )
    if rated is not None and power >= rated * _NEARLY:
        raise ToolProblem(
            "That is the rated power, which an engine makes at wide-open throttle only. Enter the power made in this "
            "run, or choose wide-open throttle.",
            field="power",
        )
    return power


def _is_near(one: float, other: float) -> bool:
    return abs(one - other) <= 0.01 * other


def _g_per_kwh(fuel: TypicalFuel) -> float:
    return float(convert(Decimal(repr(fuel.bsfc_lb_per_hp_h)), "lb/hp.h", "g/kW.h"))


def _allowed(given: Given, expected_l_per_h: float, tolerance: float) -> Band:
    """The burn that the tolerance allows, in the unit of the meter and to the figures that it is worth."""
    unit = given.typed_units["measured"]
    expected = float(convert(Decimal(repr(expected_l_per_h)), "L/h", unit))
    low, high, nominal = (float(f"{expected * share:.4g}") for share in (1 - tolerance, 1 + tolerance, 1))
    return Band(low, high, unit, nominal=nominal, source="calculated from power and specific consumption")


TOOLS = (
    Tool(
        slug="fuel-burn",
        title="Fuel burn",
        group=Group.PROPULSION,
        purpose="What an engine should burn at a power, and what was measured against it.",
        fields=(
            Quantity(
                "rated",
                "Rated power",
                Kind.POWER,
                "kW",
                required=False,
                default=_rated_power,
                least=0,
                most=5000,
                hint="Made at wide-open throttle and rated speed only.",
            ),
            Choice(
                "run",
                "The run",
                (("part", "Part throttle, cruise"), (_FULL, "Wide-open throttle")),
                default="part",
                required=False,
            ),
            Quantity(
                "power",
                "Power made",
                Kind.POWER,
                "kW",
                required=False,
                argument="power_kw",
                least=0,
                most=5000,
                hint="In this run. Empty: the rated power, to plan or at wide-open throttle.",
            ),
            Quantity(
                "bsfc",
                "Specific consumption",
                Kind.CONSUMPTION,
                "g/kW.h",
                argument="bsfc_g_per_kwh",
                least=_LIKELY_G_PER_KWH[0],
                most=_LIKELY_G_PER_KWH[1],
                default=_typical(_consumption),
            ),
            Quantity(
                "density",
                "Density of the fuel",
                Kind.DENSITY,
                "kg/L",
                argument="density_kg_per_l",
                least=_LIKELY_KG_PER_L[0],
                most=_LIKELY_KG_PER_L[1],
                default=_typical(_density),
            ),
            Quantity(
                "measured",
                "Measured burn",
                Kind.FLOW,
                "L/h",
                required=False,
                argument="measured_l_per_h",
                least=0,
                most=2000,
                us="gal/h",
                metric="L/h",
                hint="At that power; leave empty to plan only.",
            ),
            Quantity(
                "tolerance",
                "May differ by",
                Kind.PERCENT,
                "%",
                required=False,
                default="10 %",
                hint="Common practice, no source.",
            ),
        ),
        work=_fuel,
        formula="burn = specific consumption × power / density",
        source="Definition of brake specific fuel consumption; planning figures are common practice",
        cautions=(FUEL, UNDER_WAY, CARBON_MONOXIDE),
        logs_as="Fuel rate",
        presets=tuple(
            Preset(
                fuel.name.capitalize(),
                {"bsfc": _consumption(fuel), "density": _density(fuel)},
                source=f"Planning figures: {fuel.source}",
            )
            for fuel in TYPICAL_FUELS
        ),
        example=Example(
            {"power": "200 hp", "rated": "", "bsfc": "0.50 lb/hp·h", "density": "6.1 lb/gal"},
            expects={"Expected fuel rate": "16.4 gal/h"},
            source="General reference article on fuel burn",
        ),
    ),
)
