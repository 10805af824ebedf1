"""Mechanical tools: the exhaust."""

from __future__ import annotations

from engineering.measures import Kind
from engineering.mechanical import (
    judge_back_pressure,
    wet_diameter_mm,
)
from findings.bench.tool import (
    Bounds,
    Example,
    Figure,
    Given,
    Group,
    Outcome,
    Preset,
    Quantity,
    Told,
    Tool,
    ToolProblem,
)
from findings.bench.tools.mechanical import CONDITION
from findings.cautions import (
    CARBON_MONOXIDE,
    HOT_COOLANT,
    ROTATING,
    UNDER_WAY,
)

_MOST_LIMIT_KPA = 150.0
"""About 22 psi. Common practice, no source."""


def _back_pressure(given: Given) -> Outcome:
    """Back-pressure against the manual's limits."""
    limits, measured = given.band("limits"), given.number("measured")
    if limits is not None and limits.high is not None and not 0 < limits.high <= _MOST_LIMIT_KPA:
        raise ToolProblem("No manual has such a limit of back-pressure. Check it with its unit.", field="limits")
    main = Figure("Exhaust back-pressure", measured, "kPa", like="measured", entered="measured")
    judged = given.judge(main, limits)
    if limits is None:
        return Outcome(
            f"{judged.shown} of back-pressure, with no limit to compare with.",
            main=main,
            condition=given.words("condition"),
        )
    found = judge_back_pressure(measured_kpa=measured, most_kpa=limits.high, least_kpa=limits.low)
    figures = () if found.share is None else (Figure("Of the limit", 100 * found.share, "%", decimals=0),)
    is_nothing = measured == 0 and not judged.is_out
    return Outcome(
        "No pressure at all was measured." if is_nothing else f"{found.sentence} {judged.shown} was measured.",
        main=main,
        figures=figures,
        band=limits,
        not_judged="a running engine makes some back-pressure; look at gauge and fitting, and measure at full load"
        if is_nothing
        else "",
        notes=found.look_at,
        condition=given.words("condition"),
    )


_LEAST_DRY_MM = 10.0
"""Common practice, no source."""


def _wet_exhaust(given: Given) -> Outcome:
    """The diameter of a wet exhaust in place of a dry one."""
    dry = given.number("dry")
    wet = wet_diameter_mm(dry_diameter_mm=dry)
    if dry < _LEAST_DRY_MM:
        raise ToolProblem("No engine's exhaust is so narrow. Check the figure and its unit.", field="dry")
    return Outcome(
        f"In place of a dry pipe of {given.show(dry, 'mm', like='dry')}, a wet one of about "
        f"{given.show(wet, 'mm', like='dry')} holds the same back-pressure.",
        figures=(Told("Take", "the next hose size up, and measure the back-pressure under load"),),
        main=Figure("Wet exhaust diameter", wet, "mm", like="dry"),
    )


TOOLS = (
    Tool(
        slug="exhaust-back-pressure",
        title="Exhaust back-pressure",
        group=Group.MECHANICAL,
        purpose="Whether the exhaust back-pressure is within its limit at full load.",
        fields=(
            Quantity(
                "measured",
                "Back-pressure",
                Kind.PRESSURE,
                "kPa",
                us="inHg",
                metric="kPa",
                argument="measured_kpa",
                least=0,
                most=200,
                hint="At full load, near the manifold, on a straight piece.",
            ),
            Bounds(
                "limits",
                "Limits",
                Kind.PRESSURE,
                "kPa",
                parameter="Exhaust back-pressure",
                us="inHg",
                metric="kPa",
                argument="most_kpa",
            ),
            CONDITION,
        ),
        work=_back_pressure,
        formula="at least ≤ back-pressure ≤ at most",
        source="Gerr, Boat Mechanical Systems Handbook (2009), chapter 7; the limits are the engine maker's",
        cautions=(UNDER_WAY, HOT_COOLANT, CARBON_MONOXIDE, ROTATING),
        logs_as="Exhaust back-pressure",
        presets=(
            Preset(
                "Naturally aspirated",
                {"limits": ("", "2.5 inHg")},
                source="Rule of thumb: Gerr, Boat Mechanical Systems Handbook (2009), chapter 7",
            ),
            Preset(
                "Turbocharged",
                {"limits": ("", "2.0 inHg")},
                source="Rule of thumb: Gerr, Boat Mechanical Systems Handbook (2009), chapter 7",
            ),
        ),
        example=Example(
            {"measured": "1.5 psi", "limits": ("", "1.5 psi")},
            expects={"Exhaust back-pressure": "1.5 psi", "Of the limit": "100 %"},
            says="back-pressure is within its limit",
            source="A small marine diesel's technical data: naturally aspirated at most 1.5 psi",
        ),
    ),
    Tool(
        slug="wet-exhaust-diameter",
        title="Wet exhaust diameter",
        group=Group.MECHANICAL,
        purpose="How wide a wet exhaust must be in place of a dry one.",
        fields=(
            Quantity(
                "dry", "Dry exhaust's inner diameter", Kind.LENGTH, "mm", argument="dry_diameter_mm", least=0, most=500
            ),
        ),
        work=_wet_exhaust,
        formula="wet diameter ≈ 1.4 × dry diameter",
        source="Rule of thumb: Gerr, Boat Mechanical Systems Handbook (2009), chapter 7",
        cautions=(CARBON_MONOXIDE, HOT_COOLANT),
        is_logged=False,
        example=Example(
            {"dry": "2.5 in"},
            expects={"Wet exhaust diameter": "3.5 in"},
            source="Gerr (2009), chapter 7: 40 percent greater",
        ),
    ),
)
