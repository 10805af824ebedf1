"""What the tools of wires share: cautions, sources, fields and presets."""

from __future__ import annotations

from engineering.electrical.ampacity import SOURCE
from engineering.electrical.conductors import (
    K_COPPER,
    Gauge,
    copper_k,
)
from engineering.electrical.nominal import CRITICAL_DROP_PERCENT, OTHER_DROP_PERCENT
from engineering.measures import Kind
from findings.bench.tool import (
    Choice,
    Field,
    Given,
    Preset,
    Quantity,
    ToolProblem,
)

DIRECT_CURRENT = (
    "For direct current up to 50 V only. Shore power and generators' alternating current kill and are not covered "
    "here: leave them to those licensed for it."
)

WIRES_BURN = (
    "A wire that carries more than it may gets hot enough to burn a boat. Put a fuse or breaker at the source, sized "
    "for the wire."
)

SIZING = "Marine catalogs after ABYC E-11, “CM = K·I·L/E, K = 10.75” (common practice)"

CARRYING = f"{SOURCE}; fuse: 33 CFR 183.455; bundles: marine catalogs"

CIRCUITS = (
    f"{CRITICAL_DROP_PERCENT:g} % for panel feeders, bilge blowers, navigation lights and electronics, "
    f"{OTHER_DROP_PERCENT:g} % for others."
)


def copper_constant(given: Given) -> float:
    """The copper constant: the trade's, or that of the temperature given."""
    temperature_c = given.number_or_none("temperature")
    return K_COPPER if temperature_c is None else copper_k(temperature_c)


def allowed_drop_v(given: Given) -> float:
    """The allowed drop in V."""
    percent, system_v = given.number("allowed"), given.number("system")
    if system_v <= 0 or system_v > 50:
        raise ToolProblem("This is for direct current from a few volts up to 50 V.", field="system")
    if not 0 < percent <= 20:
        raise ToolProblem("Allow more than 0 % and at most 20 %: 3 or 10 % is usual.", field="allowed")
    return system_v * percent / 100


RUN: tuple[Field, ...] = (
    Quantity(
        "current",
        "Current",
        Kind.CURRENT,
        "A",
        argument="current_a",
        least=0,
        most=2000,
        hint="The most that flows steadily.",
    ),
    Quantity(
        "run",
        "Wire out and back",
        Kind.LENGTH,
        "m",
        us="ft",
        metric="m",
        argument="round_trip_m",
        least=0,
        most=200,
        hint="Both wires together, to the load and back.",
    ),
    Quantity("system", "System voltage", Kind.VOLTAGE, "V", default="12 V"),
    Quantity("allowed", "Allowed drop", Kind.PERCENT, "%", default=f"{CRITICAL_DROP_PERCENT:g}", hint=CIRCUITS),
)

GAUGE = Choice(
    "gauge",
    "Gauge",
    [(Gauge.AWG.value, "AWG"), (Gauge.SAE.value, "SAE")],
    hint="As printed on the wire; SAE has less copper.",
)

WARM = Quantity(
    "temperature",
    "Conductor temperature",
    Kind.TEMPERATURE,
    "degC",
    required=False,
    argument="temperature_c",
    hint="Empty: K = 10.75, copper at 29.3 °C.",
)

CIRCUIT_PRESETS = (
    Preset(
        "Critical circuit", {"allowed": f"{CRITICAL_DROP_PERCENT:g}"}, source="3 %, marine catalogs after ABYC E-11"
    ),
    Preset("Other circuit", {"allowed": f"{OTHER_DROP_PERCENT:g}"}, source="10 %, marine catalogs after ABYC E-11"),
)
