"""Electrical tools: joints and runs of wire."""

from __future__ import annotations

from engineering.electrical.circuits import resistance_ohm
from engineering.electrical.conductors import (
    SIZES,
    Gauge,
    conductor,
    voltage_drop_v,
)
from engineering.measures import Kind
from findings.bench.cautions import ROTATING, SHORT_CIRCUIT
from findings.bench.judged import Judged
from findings.bench.tool import (
    Band,
    Bounds,
    Choice,
    Example,
    Figure,
    Given,
    Group,
    Outcome,
    Quantity,
    Told,
    Tool,
    ToolProblem,
    Words,
)
from findings.bench.wire_fields import (
    CARRYING,
    CIRCUIT_PRESETS,
    DIRECT_CURRENT,
    GAUGE,
    RUN,
    SIZING,
    WARM,
    WIRES_BURN,
    allowed_drop_v,
    copper_constant,
)
from findings.bench.wire_results import (
    SURROUNDINGS,
    Run,
    as_run,
    fuse_figures,
    fuse_notes,
    fuse_too_large,
    hot_place,
    is_fuse_too_large,
    overloaded,
    too_hot,
)


def _resistance(given: Given) -> Outcome:
    """Ohm's law over one joint or wire."""
    drop_v, current_a = given.number("drop"), given.number("current")
    ohms = resistance_ohm(drop_v=drop_v, current_a=current_a)
    where = given.words("where") or "the part between the probes"
    main = Figure("Resistance", ohms * 1000, "mohm")
    judged = given.judge(main, given.band("limits"))
    return Outcome(
        f"{where[0].upper()}{where[1:]} has {judged.shown}"
        + (f", more than the {judged.high} allowed." if judged.is_out else "."),
        main=main,
        figures=(
            Figure("Lost as heat", drop_v * current_a, "W", us="W", metric="W"),
            Figure("Drop at 100 A", ohms * 100, "V"),
        ),
        band=given.band("limits"),
        condition=given.words("where"),
    )


def _drop(given: Given) -> Outcome:
    """What a run of known wire drops, what it carries, and what a measured drop says of its joints."""
    wire = conductor(Gauge(given.choice("gauge")), given.choice("size"))
    current_a, allowed_v, system_v = given.number("current"), allowed_drop_v(given), given.number("system")
    run = as_run(given, wire)
    drop_v = voltage_drop_v(
        current_a=current_a,
        round_trip_m=given.number("run"),
        circular_mils=wire.circular_mils,
        k=copper_constant(given),
    )
    percent = drop_v / system_v * 100
    figures: list[Figure | Told] = [*fuse_figures(run)]
    band = Band(None, round(allowed_v, 4), "V", source=f"the {given.show(given.number('allowed'), '%')} allowed")
    if run.is_overloaded:
        return overloaded(given, run, figures, _drop_beside(given, run, band, drop_v))
    if percent >= 100:
        raise ToolProblem(
            "This run cannot carry that current: it would take the whole voltage of the system before it got there. "
            "Check current, run and size.",
            field="current",
        )
    fuse_a = given.number_or_none("fuse")
    if fuse_a == 0:
        raise ToolProblem("A fuse of 0 A lets nothing through. Leave it empty where there is none.", field="fuse")
    figures += [
        Figure("Of the system's voltage", percent, "%"),
        Figure("Left at the load", system_v - drop_v, "V"),
        Figure("Resistance of the run", drop_v / current_a * 1000, "mohm", us="mohm", metric="mohm"),
        Figure("Copper", wire.circular_mils, "cmil", significant=4, us="cmil", metric="mm2"),
    ]
    notes = [*fuse_notes(given, run), *hot_place(given)]
    main = Figure("Voltage drop", drop_v, "V")
    sentence = (
        f"{wire.name} drops {given.judge(main, band).shown} at {given.show(current_a, 'A', entered='current')}, "
        f"{given.show(percent, '%')} of {given.show(system_v, 'V', entered='system')}."
    )
    measured_v = given.number_or_none("measured")
    if measured_v is not None:
        main = Figure("Voltage drop measured", measured_v, "V", entered="measured")
        sentence = _measured(given, given.judge(main, band), drop_v)
        figures.insert(0, Figure("To expect of the wire alone", drop_v, "V"))
        notes = [*_beyond_the_wire(given, measured_v, drop_v, figures), *notes]
    if is_fuse_too_large(given, run):
        figures.insert(0, Figure("Voltage drop", drop_v, "V"))
        return fuse_too_large(given, run, figures, _drop_beside(given, run, band, drop_v), notes)
    if run.not_judged:
        sentence += f" What it carries is not judged: {run.not_judged}."
    elif run.least_a is not None:
        sentence += f" It carries {given.show(run.least_a, 'A')} ({run.words})."
    in_doubt = run.not_judged and not run.is_cranking and not given.judge(main, band).is_out
    return Outcome(
        sentence,
        main=main,
        figures=figures,
        band=band,
        not_judged=f"the drop would pass, but {run.not_judged}" if in_doubt else "",
        warnings=too_hot(given, run.where),
        notes=notes,
    )


def _drop_beside(given: Given, run: Run, band: Band, drop_v: float) -> str:
    """What is known of the drop beside something worse: that measured, or that of the wire, with its verdict."""
    system_v, measured_v = given.number("system"), given.number_or_none("measured")
    if measured_v is not None and measured_v < system_v:
        return _measured(given, given.judge(Figure("", measured_v, "V", entered="measured"), band), drop_v)
    if drop_v >= system_v:
        return "It would also take the whole voltage of the system before it got there."
    judged = given.judge(Figure("", drop_v, "V"), band)
    drops = f"{run.wire.name} drops {judged.shown} at {given.show(run.current_a, 'A', entered='current')}"
    return f"{drops}, {_beside_allowed(judged)}."


def _beside_allowed(judged: Judged) -> str:
    return f"more than the {judged.high} allowed" if judged.is_out else f"within the {judged.high} allowed"


def _measured(given: Given, judged: Judged, drop_v: float) -> str:
    """The drop that was measured, which is what is judged, beside what the wire alone explains."""
    if judged.measure.value and given.number("measured") >= given.number("system"):
        raise ToolProblem(
            "The drop measured is as much as the supply, so nothing reaches the load: the circuit is open, or the "
            "meter was not across the wires. Find the break first.",
            field="measured",
        )
    return f"{judged.shown} measured is {_beside_allowed(judged)}; the wire alone would drop {given.show(drop_v, 'V')}."


def _beyond_the_wire(given: Given, measured_v: float, drop_v: float, figures: list[Figure | Told]) -> list[str]:
    """What of the measured drop is not the wire's."""
    current_a = given.number("current")
    extra_mohm = (resistance_ohm(drop_v=measured_v, current_a=current_a) - drop_v / current_a) * 1000
    measured, expected = given.show(measured_v, "V", entered="measured"), given.show(drop_v, "V")
    if extra_mohm <= 0:
        return [f"{measured} measured is no more than the wire alone explains."]
    figures.append(Figure("Measured beyond the wire", extra_mohm, "mohm", us="mohm", metric="mohm"))
    return [
        f"{measured} measured, {expected} to expect of the wire alone: the rest sits in joints, fuse holders, switches "
        "or a broken strand. Follow it along the run."
    ]


TOOLS = (
    Tool(
        slug="resistance-from-drop",
        title="Resistance from voltage drop",
        group=Group.ELECTRICAL,
        purpose="What a joint, wire or switch resists, measured while it carries current.",
        fields=(
            Quantity(
                "drop",
                "Voltage drop",
                Kind.VOLTAGE,
                "V",
                argument="drop_v",
                most=50,
                hint="Across the part, under load.",
            ),
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
        purpose="What a run of known wire carries and drops, whether its fuse fits, and what a measured drop says.",
        fields=(
            *RUN,
            GAUGE,
            Choice("size", "Size", [(size, size) for size in SIZES]),
            *SURROUNDINGS,
            Quantity(
                "fuse",
                "Fuse or breaker",
                Kind.CURRENT,
                "A",
                required=False,
                least=0,
                most=2000,
                section="What it carries",
                hint="Its rating, if there is one.",
            ),
            WARM,
            Quantity(
                "measured",
                "Drop measured",
                Kind.VOLTAGE,
                "V",
                required=False,
                argument="drop_v",
                least=0,
                most=50,
                hint="Both wires together, if you measured it.",
            ),
        ),
        work=_drop,
        formula="U = K · I · L / CM, with L out and back in feet, CM in circular mils, K = 10.75 Ω·cmil/ft",
        source=f"{SIZING}; AWG areas ASTM B258; {CARRYING}",
        cautions=(WIRES_BURN, SHORT_CIRCUIT, DIRECT_CURRENT),
        presets=CIRCUIT_PRESETS,
        example=Example(
            {
                "current": "10 A",
                "run": "21 ft",
                "system": "12 V",
                "allowed": "3 %",
                "gauge": "AWG",
                "size": "12",
                "insulation": "105",
                "where": "outside",
                "bundled": "2",
            },
            expects={"Voltage drop": "0.346 V", "Of the system's voltage": "2.88 %"},
            source="A marine catalog's bilge pump: 10 A, 11 ft out and 10 ft back, 12 AWG within 3 % of 12 V",
        ),
    ),
)
