"""Mechanical tools: a torque wrench with an adapter."""

from __future__ import annotations

from math import cos, radians

from engineering.measures import Kind
from engineering.mechanical import (
    wrench_setting_nm,
)
from findings.bench.tool import (
    Example,
    Figure,
    Given,
    Group,
    Outcome,
    Quantity,
    Tool,
    ToolProblem,
)

BOLTS = "Replace stretch bolts, follow the manual's order and stages, and check the wrench's calibration."


_LEAST_LEVER = 1 / 3
"""Of the wrench's length. Common practice, no source."""


def _torque(given: Given) -> Outcome:
    """The setting of a torque wrench with an adapter."""
    wrench, adapter, angle = given.number("wrench"), given.number("adapter"), given.number("angle")
    torque = given.number("torque")
    setting = wrench_setting_nm(torque_nm=torque, wrench_length_m=wrench, adapter_length_m=adapter, angle_deg=angle)
    lever = wrench + adapter * cos(radians(angle))
    if lever < wrench * _LEAST_LEVER:
        raise ToolProblem(
            "This adapter reaches so far back that hardly any lever is left, and the wrench would be set to many times "
            "the torque. Turn it square to the wrench, or take a shorter one.",
            field="adapter",
        )
    return Outcome(
        f"Set the wrench to {given.show(setting, 'N.m', like='torque', significant=4)} to put "
        f"{given.show(torque, 'N.m', like='torque', entered='torque')} on the fastener.",
        main=Figure("Setting", setting, "N.m", like="torque", significant=4),
        figures=(Figure("Lever with the adapter", lever, "m", like="wrench"),),
        notes=(
            "Hold the wrench at the middle of its grip: the length counts from there.",
            "The setting must lie within the wrench's own range; near its lower end it is least exact.",
        ),
    )


TOOLS = (
    Tool(
        slug="torque-with-adapter",
        title="Torque with an adapter",
        group=Group.MECHANICAL,
        purpose="What to set a torque wrench to when an adapter makes it longer.",
        fields=(
            Quantity(
                "torque",
                "Torque on the fastener",
                Kind.TORQUE,
                "N.m",
                argument="torque_nm",
                least=0.1,
                most=3000,
                hint="From the manual, dry or oiled as it says.",
            ),
            Quantity(
                "wrench",
                "Length of the wrench",
                Kind.LENGTH,
                "m",
                us="in",
                metric="mm",
                argument="wrench_length_m",
                least=0.05,
                most=3,
                hint="Middle of the grip to middle of the drive.",
            ),
            Quantity(
                "adapter",
                "Length of the adapter",
                Kind.LENGTH,
                "m",
                us="in",
                metric="mm",
                argument="adapter_length_m",
                least=0,
                most=2,
                hint="Middle of the drive to middle of the fastener.",
            ),
            Quantity(
                "angle",
                "Angle of the adapter",
                Kind.ANGLE,
                "deg",
                argument="angle_deg",
                default="0",
                hint="0 straight ahead, 90 square to the wrench, 180 back along it.",
            ),
        ),
        work=_torque,
        formula="setting = torque × L / (L + E × cos angle)",
        source="TM 9-2350-277-40&P; TM 9-254; NAVEDTRA 14008",
        cautions=(BOLTS,),
        example=Example(
            {"torque": "40 ft·lbf", "wrench": "12 in", "adapter": "4 in", "angle": "0"},
            expects={"Setting": "30 ft·lbf", "Lever with the adapter": "16 in"},
            source="TM 9-2350-277-40&P, its example",
        ),
    ),
)
