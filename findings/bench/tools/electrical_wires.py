"""Electrical tools: the size of a run of wire."""

from __future__ import annotations

from engineering.amounts import exceeds
from engineering.electrical.ampacity import (
    CRANKING_S,
    SOURCE,
    Surroundings,
    carries,
    smallest_for_cranking,
    smallest_for_current,
)
from engineering.electrical.conductors import (
    Gauge,
    circular_mils_needed,
    smallest_conductor,
    voltage_drop_v,
)
from findings.bench.tool import (
    Example,
    Figure,
    Given,
    Group,
    Outcome,
    Told,
    Tool,
    ToolProblem,
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
    CRANKING_MOTOR,
    SURROUNDINGS,
    as_run,
    fuse_figures,
    hot_place,
    surroundings,
    too_hot,
    which_limit,
)
from findings.cautions import SHORT_CIRCUIT


def _size(given: Given) -> Outcome:
    """The smallest conductor that keeps the drop and carries the current."""
    current_a, allowed_v, run_m = given.number("current"), allowed_drop_v(given), given.number("run")
    gauge, where = Gauge(given.choice("gauge")), surroundings(given)
    needed = circular_mils_needed(
        current_a=current_a, round_trip_m=run_m, allowed_drop_v=allowed_v, k=copper_constant(given)
    )
    by_drop = smallest_conductor(needed, gauge)
    is_cranking = given.choice("load") == CRANKING_MOTOR
    _refuse_hotter_than_the_insulation(given, where)
    by_current = (smallest_for_cranking if is_cranking else smallest_for_current)(current_a, gauge, where)
    chosen = max(by_drop, by_current, key=lambda wire: wire.circular_mils)
    run = as_run(given, chosen)
    drop_v = voltage_drop_v(
        current_a=current_a, round_trip_m=run_m, circular_mils=chosen.circular_mils, k=copper_constant(given)
    )
    notes = []
    if chosen != by_drop:
        how = "does not carry" if gauge is Gauge.AWG else "may not carry"
        reason = f"{how} {given.show(current_a, 'A', entered='current')} there"
        if is_cranking:
            reason = f"gets too hot within {CRANKING_S} s of cranking"
        elif (carried_a := carries(by_drop, where).least_a) is None:
            reason = "is not in the table of what wires carry (33 CFR 183.425)"
        elif not exceeds(current_a, carried_a):
            reason = "is too thin to be installed by itself (33 CFR 183.425)"
        notes.append(f"For the drop {by_drop.name} would do, but it {reason}.")
    figures: list[Figure | Told] = [
        Told("Conductor", chosen.name),
        Figure("Copper needed", needed, "cmil", significant=4, us="cmil", metric="mm2"),
        Figure("Copper it has", chosen.circular_mils, "cmil", significant=4, us="cmil", metric="mm2"),
        Figure("Drop with it", drop_v, "V"),
        *fuse_figures(run),
    ]
    if is_cranking:
        notes.append(f"The least that could do, by its drop and its heat: {run.not_judged}.")
    else:
        notes.append(f"Carried current: {SOURCE}, {run.words}.")
        if gauge is Gauge.SAE:
            notes.append("The table has no SAE sizes: the wire is taken as the next smaller AWG size by its copper.")
        notes += which_limit(given, run)
    notes += hot_place(given)
    return Outcome(
        f"Take {chosen.name}: it drops {given.show(drop_v, 'V')}, and {given.show(allowed_v, 'V')} is allowed"
        + (
            f"; it carries {given.show(run.least_a, 'A', significant=4)} ({run.words})."
            if run.least_a is not None
            else "."
        ),
        figures=figures,
        notes=notes,
    )


def _refuse_hotter_than_the_insulation(given: Given, where: Surroundings) -> None:
    if hot := too_hot(given, where):
        raise ToolProblem(f"{hot[0]} Take wire with insulation that is rated for it.", field="temperature")


TOOLS = (
    Tool(
        slug="conductor-size",
        title="Conductor size",
        group=Group.ELECTRICAL,
        purpose="The smallest wire that keeps the drop and carries the current.",
        fields=(
            *RUN,
            GAUGE,
            *SURROUNDINGS,
            WARM,
        ),
        work=_size,
        formula="CM = K · I · L / E, with L out and back in feet, E the allowed drop in V; the next larger size",
        source=f"{SIZING}; {CARRYING}",
        cautions=(WIRES_BURN, SHORT_CIRCUIT, DIRECT_CURRENT),
        presets=CIRCUIT_PRESETS,
        example=Example(
            {
                "current": "10 A",
                "run": "21 ft",
                "system": "12 V",
                "allowed": "3 %",
                "gauge": "SAE",
                "insulation": "105",
                "where": "outside",
                "bundled": "2",
            },
            expects={"Conductor": "10 SAE", "Copper needed": "6271 cmil"},
            source="A marine catalog's bilge pump: 6,271 cmil, 12 AWG, but 10 SAE, as 12 SAE has 5,833 cmil",
        ),
    ),
)
