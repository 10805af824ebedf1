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
    burnt_by_cranking,
    fuse_figures,
    fuse_notes,
    fuse_too_large,
    hot_place,
    hotter_than_the_insulation,
    is_at_its_limit,
    is_fuse_too_large,
    overloaded,
    too_hot,
)
from findings.cautions import ROTATING, SHORT_CIRCUIT


def _resistance(given: Given) -> Outcome:
    """Ohm's law over one joint or wire."""
    drop_v, current_a = given.number("drop"), given.number("current")
    ohms = resistance_ohm(drop_v=drop_v, current_a=current_a)
    where = given.words("where") or "the part between the probes"
    band = given.band("limits")
    if band is not None and band.high is not None and band.high <= 0:
        raise ToolProblem("Everything resists a little: the limit must be more than 0.", field="limits")
    if drop_v == 0:
        current = given.show(current_a, "A", entered="current")
        return Outcome(
            f"No drop at all was measured at {current}, and everything drops a little.",
            not_judged="see that both probes touch bare metal, that the current flows, and use a finer range",
            condition=given.words("where"),
        )
    main = Figure("Resistance", ohms * 1000, "mohm")
    judged = given.judge(main, band)
    return Outcome(
        f"{where[0].upper()}{where[1:]} has {judged.shown}"
        + (f", more than the {judged.high} allowed." if judged.is_out else "."),
        main=main,
        figures=(
            Figure("Lost as heat", drop_v * current_a, "W", us="W", metric="W"),
            *([Figure("Drop at 100 A", ohms * 100, "V")] if ohms * 100 <= _MOST_V else []),
        ),
        band=band,
        condition=given.words("where"),
    )


_MOST_V = 50.0
"""The highest voltage that these tools are for: more cannot lie across a part."""
_ABOUT_THE_WIRE = 1.2
"""What a length that was paced off and copper that is warm can add. Common practice, no source."""
_LEAST_OF_THE_WIRE = 0.6
"""Copper that is as cold as a boat gets drops three quarters of what it is taken to; less was not that current, run or
size. Common practice, no source."""


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
    if run.is_burnt_by_cranking:
        return burnt_by_cranking(given, run, _drop_beside(given, run, band, drop_v))
    if percent >= 100:
        raise ToolProblem(
            "This run cannot carry that current: it would take the whole voltage of the system before it got there. "
            "Check current, run and size.",
            field="current",
        )
    fuse_a = given.number_or_none("fuse")
    if fuse_a == 0:
        raise ToolProblem("A fuse of 0 A lets nothing through. Leave it empty where there is none.", field="fuse")
    measured_v = given.number_or_none("measured")
    stands_v = drop_v if measured_v is None else measured_v
    figures += [
        Figure("Of the system's voltage", stands_v / system_v * 100, "%"),
        Figure("Left at the load", max(0.0, system_v - stands_v), "V"),
        Figure("Resistance of the wire", drop_v / current_a * 1000, "mohm", us="mohm", metric="mohm"),
        Figure("Copper", wire.circular_mils, "cmil", significant=4, us="cmil", metric="mm2"),
    ]
    notes = [*fuse_notes(given, run), *hot_place(given)]
    main = Figure("Voltage drop", drop_v, "V")
    judged = given.judge(main, band)
    sentence = (
        f"{wire.name} drops {judged.shown} at {given.show(current_a, 'A', entered='current')}, "
        f"{given.show(percent, '%')} of {given.show(system_v, 'V', entered='system')}: {_beside_allowed(judged)}."
    )
    doubt = ""
    if measured_v is not None:
        main = Figure("Voltage drop measured", measured_v, "V", entered="measured")
        judged = given.judge(main, band)
        sentence = _measured(given, judged, drop_v)
        if not judged.is_out and measured_v < _LEAST_OF_THE_WIRE * drop_v:
            doubt = _TOO_LITTLE
        figures.insert(0, Figure("To expect of the wire alone", drop_v, "V"))
        notes = [*_beyond_the_wire(given, measured_v, drop_v, figures), *notes]
    if is_fuse_too_large(given, run):
        figures.insert(0, Figure("Voltage drop", drop_v, "V"))
        return fuse_too_large(given, run, figures, _drop_beside(given, run, band, drop_v), notes)
    if too_hot(given, run.where):
        return hotter_than_the_insulation(given, run, figures, _drop_beside(given, run, band, drop_v))
    if run.not_judged:
        sentence += f" What it carries is not judged: {run.not_judged}."
    elif run.least_a is not None:
        carried = given.show(run.least_a, "A", significant=4)
        current = given.show(current_a, "A", entered="current")
        close = f" {current} is close to the most that it carries, {carried} ({run.words})."
        sentence += close if is_at_its_limit(run) else f" It carries {carried} ({run.words})."
    if run.not_judged and not run.is_cranking and not judged.is_out:
        doubt = f"the drop would pass, but {run.not_judged}"
    return Outcome(
        sentence,
        main=main,
        figures=figures,
        band=band,
        not_judged=doubt,
        notes=notes,
    )


_TOO_LITTLE = (
    "the wire alone drops more, so the current was less, the run shorter or the wire thicker than entered; measure "
    "both at once"
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
    if not judged.is_out and given.number("measured") < _LEAST_OF_THE_WIRE * drop_v:
        return f"{judged.shown} measured is less than the {given.show(drop_v, 'V')} of the wire alone."
    return f"{judged.shown} measured is {_beside_allowed(judged)}; the wire alone would drop {given.show(drop_v, 'V')}."


def _beyond_the_wire(given: Given, measured_v: float, drop_v: float, figures: list[Figure | Told]) -> list[str]:
    """What of the measured drop is not the wire's."""
    current_a = given.number("current")
    extra_mohm = (resistance_ohm(drop_v=measured_v, current_a=current_a) - drop_v / current_a) * 1000
    measured, expected = given.show(measured_v, "V", entered="measured"), given.show(drop_v, "V")
    if measured_v < _LEAST_OF_THE_WIRE * drop_v:
        return []
    if extra_mohm <= 0:
        return [f"{measured} measured is no more than the wire alone explains."]
    if measured_v <= _ABOUT_THE_WIRE * drop_v:
        return [f"{measured} measured is about what the wire alone explains, as far as run and size are known."]
    figures.append(Figure("Measured beyond the wire", extra_mohm, "mohm", us="mohm", metric="mohm"))
    return [
        f"{measured} measured, {expected} to expect of the wire alone: the rest sits in joints, fuse holders, switches "
        "or a broken strand, or the wire is longer, thinner or hotter than entered. Follow it along the run."
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
                most=5000,
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
        is_of_instruments=True,
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
