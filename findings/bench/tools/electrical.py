"""Electrical tools: wires, joints and circuits."""

from __future__ import annotations

from engineering.measures import Kind
from findings.bench.cautions import ROTATING, SHORT_CIRCUIT
from findings.bench.tool import Bounds, Example, Figure, Given, Group, Outcome, Quantity, Tool, ToolProblem, Words


def _resistance(given: Given) -> Outcome:
    """Ohm's law over one joint or wire."""
    drop_v, current_a = given.number("drop"), given.number("current")
    if current_a <= 0:
        raise ToolProblem("Measure while current flows: without current no drop shows.", field="current")
    if drop_v < 0:
        raise ToolProblem(
            "A drop below zero means that the probes are exchanged. Write it without the sign.", field="drop"
        )
    ohms = drop_v / current_a
    where = given.words("where") or "the part between the probes"
    return Outcome(
        f"{where[0].upper()}{where[1:]} has {given.show(ohms * 1000, 'mohm')}.",
        main=Figure("Resistance", ohms * 1000, "mohm"),
        figures=(
            Figure("Lost as heat", drop_v * current_a, "W", us="W", metric="W"),
            Figure("Drop at 100 A", ohms * 100, "V"),
        ),
        band=given.band("limits"),
        condition=given.words("where"),
    )


TOOLS = (
    Tool(
        slug="resistance-from-drop",
        title="Resistance from voltage drop",
        group=Group.ELECTRICAL,
        purpose="What a joint, wire or switch resists, measured while it carries current.",
        fields=(
            Quantity("drop", "Voltage drop", Kind.VOLTAGE, "V", hint="Across the part, under load."),
            Quantity("current", "Current", Kind.CURRENT, "A", hint="Through the same part, at the same moment."),
            Words("where", "Between which points", required=False, width="full"),
            Bounds(
                "limits",
                "Limit",
                Kind.RESISTANCE,
                "mohm",
                parameter="Circuit resistance",
                sides="high",
                us="mohm",
                metric="mohm",
            ),
        ),
        work=_resistance,
        formula="R = U / I",
        source="Ohm's law",
        cautions=(SHORT_CIRCUIT, ROTATING),
        logs_as="Circuit resistance",
        example=Example(
            {"drop": "2.0 V", "current": "200 A"},
            expects={"Resistance": "10 mΩ", "Lost as heat": "400 W"},
            source="Starter voltage-drop training text: 200 A through 0.01 Ω are 2.0 V",
        ),
    ),
)
