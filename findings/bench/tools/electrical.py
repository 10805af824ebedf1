"""Electrical tools: joints and runs of wire."""

from __future__ import annotations

from engineering.electrical.circuits import resistance_ohm
from engineering.electrical.conductors import (
    K_COPPER,
    SIZES,
    Conductor,
    Gauge,
    ampacity,
    circular_mils_needed,
    conductor,
    copper_k,
    smallest_conductor,
    voltage_drop_v,
)
from engineering.electrical.nominal import CRITICAL_DROP_PERCENT, OTHER_DROP_PERCENT
from engineering.measures import Kind
from findings.bench.cautions import ROTATING, SHORT_CIRCUIT
from findings.bench.tool import (
    Band,
    Bounds,
    Choice,
    Example,
    Field,
    Figure,
    Given,
    Group,
    Outcome,
    Preset,
    Quantity,
    Told,
    Tool,
    ToolProblem,
    Words,
)

DIRECT_CURRENT = (
    "For direct current up to 50 V only. Shore power and generators' alternating current kill and are not covered "
    "here: leave them to those licensed for it."
)
_SIZING = "Marine catalogs after ABYC E-11, “CM = K·I·L/E, K = 10.75” (common practice)"
_CIRCUITS = (
    f"{CRITICAL_DROP_PERCENT:g} % for panel feeders, bilge blowers, navigation lights and electronics, "
    f"{OTHER_DROP_PERCENT:g} % for others."
)


def _resistance(given: Given) -> Outcome:
    """Ohm's law over one joint or wire."""
    drop_v, current_a = given.number("drop"), given.number("current")
    ohms = resistance_ohm(drop_v=drop_v, current_a=current_a)
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


def _k(given: Given) -> float:
    """The copper constant: the trade's, or that of the temperature given."""
    temperature_c = given.number_or_none("temperature")
    return K_COPPER if temperature_c is None else copper_k(temperature_c)


def _allowed_v(given: Given) -> float:
    """The allowed drop in V."""
    percent, system_v = given.number("allowed"), given.number("system")
    if system_v <= 0 or system_v > 50:
        raise ToolProblem("This is for direct current from a few volts up to 50 V.", field="system")
    if not 0 < percent <= 50:
        raise ToolProblem("Allow more than 0 % and at most 50 %.", field="allowed")
    return system_v * percent / 100


def _drop(given: Given) -> Outcome:
    """What a run of known wire drops, and what a measured drop says of its joints."""
    wire = conductor(Gauge(given.choice("gauge")), given.choice("size"))
    current_a, allowed_v = given.number("current"), _allowed_v(given)
    drop_v = voltage_drop_v(
        current_a=current_a, round_trip_m=given.number("run"), circular_mils=wire.circular_mils, k=_k(given)
    )
    percent = drop_v / given.number("system") * 100
    if percent >= 100:
        raise ToolProblem(
            "This run cannot carry that current: it would take the whole voltage of the system before it got there. "
            "Check current, run and size.",
            field="current",
        )
    figures = [
        Figure("Of the system's voltage", percent, "%"),
        Figure("Left at the load", given.number("system") - drop_v, "V"),
        Figure("Resistance of the run", drop_v / current_a * 1000, "mohm", us="mohm", metric="mohm"),
        Figure("Copper", wire.circular_mils, "cmil", significant=4, us="cmil", metric="mm2"),
    ]
    notes = []
    measured_v = given.number_or_none("measured")
    if measured_v is not None:
        extra_mohm = (resistance_ohm(drop_v=measured_v, current_a=current_a) - drop_v / current_a) * 1000
        if extra_mohm > 0:
            figures.append(Figure("Measured beyond the wire", extra_mohm, "mohm", us="mohm", metric="mohm"))
            notes.append(
                f"{given.show(measured_v, 'V')} measured, {given.show(drop_v, 'V')} to expect of the wire alone: "
                "the rest sits in joints, fuse holders, switches or a broken strand. Follow it along the run."
            )
        else:
            notes.append(f"{given.show(measured_v, 'V')} measured is no more than the wire alone explains.")
    return Outcome(
        f"{wire.name} drops {given.show(drop_v, 'V')} at {given.show(current_a, 'A')}, "
        f"{given.show(percent, '%')} of {given.show(given.number('system'), 'V')}.",
        main=Figure("Voltage drop", drop_v, "V"),
        figures=figures,
        band=Band(None, round(allowed_v, 4), "V", source=f"{given.show(given.number('allowed'), '%')} allowed"),
        notes=notes,
    )


def _carrying(chosen: Conductor, current_a: float, *, is_inside: bool) -> Conductor:
    """The size that also carries the current, by the table for AWG; the same where the table does not reach."""
    if chosen.gauge is not Gauge.AWG:
        return chosen
    for size in SIZES[SIZES.index(chosen.size) :]:
        carried = ampacity(size)
        if carried is not None and current_a <= (carried.inside_a if is_inside else carried.outside_a):
            return conductor(chosen.gauge, size)
    raise ToolProblem(
        "No single conductor up to 4/0 carries this current: run conductors side by side.", field="current"
    )


def _size(given: Given) -> Outcome:
    """The smallest conductor that keeps the drop and carries the current."""
    current_a, allowed_v, run_m = given.number("current"), _allowed_v(given), given.number("run")
    needed = circular_mils_needed(current_a=current_a, round_trip_m=run_m, allowed_drop_v=allowed_v, k=_k(given))
    by_drop = smallest_conductor(needed, Gauge(given.choice("gauge")))
    is_inside = given.choice("where") == "inside"
    chosen = _carrying(by_drop, current_a, is_inside=is_inside)
    drop_v = voltage_drop_v(current_a=current_a, round_trip_m=run_m, circular_mils=chosen.circular_mils, k=_k(given))
    notes = []
    if chosen != by_drop:
        notes.append(f"For the drop {by_drop.name} would do, but it does not carry {given.show(current_a, 'A')}.")
    carried = ampacity(chosen.size) if chosen.gauge is Gauge.AWG else None
    figures: list[Figure | Told] = [
        Told("Conductor", chosen.name),
        Figure("Copper needed", needed, "cmil", significant=4, us="cmil", metric="mm2"),
        Figure("Copper it has", chosen.circular_mils, "cmil", significant=4, us="cmil", metric="mm2"),
        Figure("Drop with it", drop_v, "V"),
    ]
    if carried is not None:
        carried_a = carried.inside_a if is_inside else carried.outside_a
        figures.append(Figure("Carries at most", carried_a, "A"))
        notes.append("Carried current is that of a single conductor with 105 °C insulation; bundles carry less.")
    else:
        notes.append("SAE wire has less copper than AWG of the same number: see its maker for the current it carries.")
    notes.append("Fuse or breaker protects the wire: its rating must not be above what the wire carries.")
    return Outcome(
        f"Take {chosen.name}: it drops {given.show(drop_v, 'V')}, and {given.show(allowed_v, 'V')} is allowed.",
        figures=figures,
        notes=notes,
    )


_RUN: tuple[Field, ...] = (
    Quantity("current", "Current", Kind.CURRENT, "A", argument="current_a"),
    Quantity(
        "run",
        "Wire out and back",
        Kind.LENGTH,
        "m",
        us="ft",
        metric="m",
        argument="round_trip_m",
        hint="Both wires together, to the load and back.",
    ),
    Quantity("system", "System voltage", Kind.VOLTAGE, "V", default="12 V"),
    Quantity("allowed", "Allowed drop", Kind.PERCENT, "%", default=f"{CRITICAL_DROP_PERCENT:g}", hint=_CIRCUITS),
)
_GAUGE = Choice(
    "gauge",
    "Gauge",
    [(Gauge.AWG.value, "AWG"), (Gauge.SAE.value, "SAE")],
    default=Gauge.AWG.value,
    hint="As printed on the wire; SAE has less copper.",
)
_WARM = Quantity(
    "temperature",
    "Conductor temperature",
    Kind.TEMPERATURE,
    "degC",
    required=False,
    argument="temperature_c",
    hint="Empty: K = 10.75, copper at 29.3 °C.",
)
_CIRCUIT_PRESETS = (
    Preset(
        "Critical circuit", {"allowed": f"{CRITICAL_DROP_PERCENT:g}"}, source="3 %, marine catalogs after ABYC E-11"
    ),
    Preset("Other circuit", {"allowed": f"{OTHER_DROP_PERCENT:g}"}, source="10 %, marine catalogs after ABYC E-11"),
)

TOOLS = (
    Tool(
        slug="resistance-from-drop",
        title="Resistance from voltage drop",
        group=Group.ELECTRICAL,
        purpose="What a joint, wire or switch resists, measured while it carries current.",
        fields=(
            Quantity("drop", "Voltage drop", Kind.VOLTAGE, "V", argument="drop_v", hint="Across the part, under load."),
            Quantity(
                "current",
                "Current",
                Kind.CURRENT,
                "A",
                argument="current_a",
                hint="Through the same part, at the same moment.",
            ),
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
        cautions=(SHORT_CIRCUIT, ROTATING, DIRECT_CURRENT),
        logs_as="Circuit resistance",
        example=Example(
            {"drop": "2.0 V", "current": "200 A"},
            expects={"Resistance": "10 mΩ", "Lost as heat": "400 W"},
            source="Starter voltage-drop training text: 200 A through 0.01 Ω are 2.0 V",
        ),
    ),
    Tool(
        slug="voltage-drop",
        title="Voltage drop of a run",
        group=Group.ELECTRICAL,
        purpose="What a run of known wire drops, and whether a measured drop is the wire's.",
        fields=(
            *_RUN,
            _GAUGE,
            Choice("size", "Size", [(size, size) for size in SIZES], default="12"),
            _WARM,
            Quantity(
                "measured",
                "Drop measured",
                Kind.VOLTAGE,
                "V",
                required=False,
                argument="drop_v",
                hint="Both wires together, if you measured it.",
            ),
        ),
        work=_drop,
        formula="U = K · I · L / CM, with L out and back in feet, CM in circular mils, K = 10.75 Ω·cmil/ft",
        source=f"{_SIZING}; AWG areas ASTM B258",
        cautions=(SHORT_CIRCUIT, DIRECT_CURRENT),
        presets=_CIRCUIT_PRESETS,
        example=Example(
            {"current": "10 A", "run": "21 ft", "system": "12 V", "allowed": "3 %", "gauge": "AWG", "size": "12"},
            expects={"Voltage drop": "0.346 V", "Of the system's voltage": "2.88 %"},
            source="A marine catalog's bilge pump: 10 A, 11 ft out and 10 ft back, 12 AWG within 3 % of 12 V",
        ),
    ),
    Tool(
        slug="conductor-size",
        title="Conductor size",
        group=Group.ELECTRICAL,
        purpose="The smallest wire that keeps the drop and carries the current.",
        fields=(
            *_RUN,
            _GAUGE,
            Choice(
                "where",
                "Where it runs",
                [("outside", "Outside engine spaces"), ("inside", "In an engine space")],
                default="outside",
            ),
            _WARM,
        ),
        work=_size,
        formula="CM = K · I · L / E, with L out and back in feet, E the allowed drop in V; the next larger size",
        source=f"{_SIZING}; carried current from the same catalogs, single conductor, 105 °C",
        cautions=(SHORT_CIRCUIT, DIRECT_CURRENT),
        presets=_CIRCUIT_PRESETS,
        example=Example(
            {"current": "10 A", "run": "21 ft", "system": "12 V", "allowed": "3 %", "gauge": "SAE", "where": "outside"},
            expects={"Conductor": "10 SAE", "Copper needed": "6271 cmil"},
            source="A marine catalog's bilge pump: 6,271 cmil, 12 AWG, but 10 SAE, as 12 SAE has 5,833 cmil",
        ),
    ),
)
