"""Sensor tools: supply and ground of a position sensor, and its sweep."""

from __future__ import annotations

from collections.abc import Callable

from engineering.amounts import exceeds
from engineering.measures import Kind
from engineering.plurals import plural
from engineering.sensors.position import (
    Check,
    PositionLimits,
    ground_drop_check,
    ground_resistance_check,
    supply_check,
)
from engineering.sensors.sweep import Sweep, Tracks, compare_tracks, judge_sweep
from findings.bench.context import ToolContext
from findings.bench.filled_rows import rows_of
from findings.bench.tool import (
    Band,
    Choice,
    Column,
    Example,
    Figure,
    Given,
    Group,
    Outcome,
    Prefill,
    Quantity,
    Rows,
    Table,
    Told,
    Tool,
    ToolProblem,
    Verdict,
)
from findings.cautions import FUEL, ROTATING

KEY_ON = (
    "Key on without starting: the fuel pump may prime, throttle, trim and gear actuators may move and fans may run. "
    "Keep hands clear, put the gear in neutral, and make sure that nobody can start the engine."
)
ELECTRONIC_THROTTLE = "An unplugged or shorted throttle sensor can let an engine race: never test so while it runs."
_SENSORS = (
    ("throttle", "Throttle"), ("pedal", "Lever or pedal"), ("trim", "Trim or tilt"), ("shift", "Shift"),
)  # fmt: skip
_SENSOR = Choice("sensor", "Sensor", _SENSORS)
_USUAL = "usual, no source; the maker's comes first"


def _supply_end(side: str, usual: str) -> Callable[[ToolContext], Prefill | None]:
    """The spec card's limit of the sensor supply, else what is usual."""

    def find(at: ToolContext) -> Prefill:
        limit = at.limit("Sensor supply voltage")
        value = getattr(limit, side, None) if limit is not None else None
        if limit is None or value is None:
            return Prefill(usual, _USUAL)
        return Prefill(f"{value.normalize():f} {limit.unit}", at.source_of(limit))

    return find


def _usual(text: str, note: str) -> Callable[[ToolContext], Prefill | None]:
    """A limit to start with, and where it is from."""
    return lambda _: Prefill(text, note)


def _wiring(given: Given) -> Outcome:
    """Supply and ground wires, each judged if it was measured."""
    limits = PositionLimits(
        supply_low_v=given.number("supply_low"),
        supply_high_v=given.number("supply_high"),
        ground_drop_v=given.number("drop_limit"),
        ground_ohm=given.number("ground_limit"),
    )
    sensor = dict(_SENSORS)[given.choice("sensor")].lower()
    supply_v, drop_v = given.number_or_none("supply"), given.number_or_none("drop")
    ground_ohm = given.number_or_none("ground")
    done: list[tuple[Check, Figure, Band, str, str]] = []
    if supply_v is not None:
        band = Band(limits.supply_low_v, limits.supply_high_v, "V")
        done.append((
            supply_check(supply_v, limits), Figure("Supply", supply_v, "V", entered="supply"), band,
            "Sensor supply voltage", f"{sensor} sensor unplugged, key on",
        ))  # fmt: skip
    if ground_ohm is not None:
        done.append((
            ground_resistance_check(ground_ohm, limits), Figure("Ground at rest", ground_ohm, "ohm", entered="ground"),
            Band(None, limits.ground_ohm, "ohm"), "Sensor ground resistance", f"{sensor} sensor unplugged, key off",
        ))  # fmt: skip
    is_dead = supply_v is not None and supply_v < limits.supply_low_v / 2
    is_unproven = drop_v is not None and is_dead and ground_drop_check(drop_v, limits).is_good
    if drop_v is not None and not is_unproven:
        entered = "drop" if drop_v >= 0 else ""
        done.append((
            ground_drop_check(drop_v, limits), Figure("Ground under current", abs(drop_v), "V", entered=entered),
            Band(None, limits.ground_drop_v, "V"), "Ground circuit voltage drop", f"{sensor} sensor, key on",
        ))  # fmt: skip
    if not done:
        raise ToolProblem("Enter at least one measurement.", field="supply")
    notes = [check.sentence if len(done) == 1 else f"{check.subject}: {check.sentence}" for check, *_ in done]
    if is_unproven:
        notes.append("Ground under current: without a supply hardly any current flows, so this proves nothing yet.")
    if len(done) == 1:
        _, figure, band, logs_as, condition = done[0]
        judged = given.judge(figure, band)
        sentence = f"{figure.label} {'bad' if judged.is_out else 'good'}: {judged.shown}, {judged.band} is wanted."
        return Outcome(sentence, main=figure, band=band, notes=notes, logs_as=logs_as, condition=condition)
    bad = [check.subject.lower() for check, *_ in done if not check.is_good]
    is_near = any(given.judge(figure, band).verdict is Verdict.NEAR for _, figure, band, *_ in done)
    return Outcome(
        f"Fix {' and '.join(bad)} first." if bad else "Supply and ground are as they should be.",
        verdict=Verdict.OUT if bad else Verdict.NEAR if is_near else Verdict.IN_RANGE,
        figures=[
            Told(figure.label, f"{given.judge(figure, band).shown}, {'good' if check.is_good else 'bad'}")
            for check, figure, band, *_ in done
        ],
        notes=notes,
    )


_MOST_BACKWARD = 0.2
_MOST_APART = 0.5
_TOO_FAR_APART = "more than half of the travel lies between two readings: read it at more places"
_CLOSE = 0.05
"""Readings farther apart, as a share of the travel, leave room for a worn spot. Common practice, no source."""


def _sweep(given: Given) -> Outcome:
    """One or two tracks over the travel."""
    limits = PositionLimits(
        fault_low_fraction=given.number("fault_low") / 100, fault_high_fraction=given.number("fault_high") / 100
    )
    samples = given.rows("samples")
    first = [float(row[0] or 0.0) for row in samples]
    second = [row[1] for row in samples if row[1] is not None]
    if second and len(second) != len(first):
        raise ToolProblem("Enter the second track at every place, or at none.", field="samples")
    supply_v, backward = given.number("supply"), given.number("backward") / 100
    if backward > _MOST_BACKWARD:
        raise ToolProblem("A step back of more than a fifth of the travel is no tolerance.", field="backward")
    with rows_of(given, "samples"):
        sweep = judge_sweep(first, supply_v=supply_v, limits=limits, backward_share=backward)
    faults = list(sweep.faults)
    other: Sweep | None = None
    tracks: Tracks | None = None
    if second:
        with rows_of(given, "samples"):
            other = judge_sweep(second, supply_v=supply_v, limits=limits, backward_share=backward, least_span_share=0.1)
        tracks = compare_tracks(list(zip(first, second, strict=True)), allowed_share=given.number("apart") / 100)
        faults = _faults_of_tracks(sweep, other, tracks)
    figures = [Figure("At rest", sweep.rest_v, "V"), Figure("At the end", sweep.end_v, "V")]
    figures.append(Figure("Largest step", sweep.largest_step * 100, "%"))
    if tracks is not None:
        figures.append(Figure("Tracks apart by", tracks.largest_difference * 100, "%"))
    name = dict(_SENSORS)[given.choice("sensor")]
    good = f"{name} sensor: nothing wrong in {len(first)} readings{', and its tracks agree' if tracks else ''}."
    too_far = exceeds(sweep.largest_step, _MOST_APART)
    step = f"{sweep.largest_step * 100:.0f} %"
    unseen = [f"Between two readings it moved by up to {step} of its travel: a worn spot there was not seen."]
    return Outcome(
        f"{name} sensor: {len(faults)} {plural(len(faults), 'thing')} to look after." if faults else good,
        verdict=Verdict.OUT if faults else None if too_far else Verdict.IN_RANGE,
        not_judged=_TOO_FAR_APART if too_far and not faults else "",
        figures=figures,
        notes=faults or (unseen if exceeds(sweep.largest_step, _CLOSE) else []),
        tables=(_travel(sweep, first, other, second),),
    )


def _faults_of_tracks(first: Sweep, second: Sweep, tracks: Tracks) -> list[str]:
    """What was found on two tracks, each thing once: what both do at one reading, and where a step back parts them."""
    faults = [f"Track {number}: {fault}" for number, one in ((1, first), (2, second)) for fault in one.found]
    steps = {number: {step.number: step for step in one.backward} for number, one in ((1, first), (2, second))}
    part = "" if tracks.agree else f"part by {tracks.largest_difference * 100:.1f} % of their travel"
    for reading in sorted(steps[1].keys() | steps[2].keys()):
        of = [number for number in steps if reading in steps[number]]
        if len(of) > 1:
            share = steps[1][reading].share * 100
            faults.append(
                f"Both tracks step back by {share:.0f} % of the travel at reading {reading}: the lever went back, two "
                "readings are swapped, or the sensor is worn there."
            )
            continue
        fault = f"Track {of[0]}: {steps[of[0]][reading].sentence}"
        if part and tracks.at_sample in (reading - 1, reading):
            fault, part = f"{fault.removesuffix('.')}, and there the tracks {part}.", ""
        faults.append(fault)
    if part:
        faults.append(f"The tracks {part} at reading {tracks.at_sample}.")
    return faults


def _travel(sweep: Sweep, first: list[float], other: Sweep | None, second: list[float]) -> Table:
    """Each reading with how far along its travel it is."""
    columns = [Column("Reading"), Column("Track 1", "V", significant=4), Column("Travel 1", "%", decimals=1)]
    rows: list[list[float | str | None]] = [
        [str(number), volts, travel * 100]
        for number, (volts, travel) in enumerate(zip(first, sweep.travel, strict=True), start=1)
    ]
    if other is not None:
        columns += [Column("Track 2", "V", significant=4), Column("Travel 2", "%", decimals=1)]
        for row, volts, travel in zip(rows, second, other.travel, strict=True):
            row += [volts, travel * 100]
    return Table("Travel, of each track's own ends", columns, rows)


TOOLS = (
    Tool(
        slug="position-sensor-wiring",
        title="Position sensor: supply and ground",
        group=Group.SENSORS,
        purpose="Whether the sensor gets its 5 V and a good ground, before the sensor itself is blamed.",
        fields=(
            _SENSOR,
            Quantity("supply", "Supply wire", Kind.VOLTAGE, "V", argument="supply_v", required=False, least=0, most=50,
                     section="Measured", hint="Key on, connector unplugged, to battery negative: 5 V expected."),
            Quantity("ground", "Ground at rest", Kind.RESISTANCE, "ohm", argument="resistance_ohm", required=False,
                     least=0, section="Measured",
                     hint="Key off, connector unplugged, to battery negative, less the leads."),
            Quantity("drop", "Ground under current", Kind.VOLTAGE, "V", argument="drop_v", required=False,
                     least=-16, most=16, section="Measured",
                     hint="Key on, plugged in, probed from behind, to battery negative."),
            Quantity("supply_low", "Supply, at least", Kind.VOLTAGE, "V", argument="supply_low_v",
                     default=_supply_end("low", "4.75 V"), section="Limits"),
            Quantity("supply_high", "Supply, at most", Kind.VOLTAGE, "V", argument="supply_high_v",
                     default=_supply_end("high", "5.25 V"), section="Limits"),
            Quantity("ground_limit", "Ground at rest, at most", Kind.RESISTANCE, "ohm", argument="ground_ohm",
                     default=_usual("1 Ω", _USUAL), section="Limits"),
            Quantity("drop_limit", "Ground under current, at most", Kind.VOLTAGE, "V", argument="ground_drop_v",
                     default=_usual("0.2 V", "an engine performance textbook; the maker's comes first"),
                     section="Limits"),
        ),
        work=_wiring,
        formula="each measurement against its limit",
        source="Common practice, no source; 0.2 V on the ground: automotive engine performance textbook, caption 12.6",
        cautions=(KEY_ON, FUEL, ROTATING),
        example=Example(
            {"sensor": "throttle", "supply": "4.98 V", "ground": "0.4 Ω", "drop": "0.25 V", "supply_low": "4.75 V",
             "supply_high": "5.25 V", "ground_limit": "1 Ω", "drop_limit": "0.2 V"},
            expects={"Supply": "4.98 V, good", "Ground under current": "0.25 V, bad"},
            source="Automotive engine performance textbook, caption 12.6: more than 0.2 V is a bad ground",
        ),
    ),
    Tool(
        slug="position-sensor-sweep",
        title="Position sensor: sweep",
        group=Group.SENSORS,
        purpose="A throttle, lever or trim sensor moved slowly once: dropouts, steps back, and two tracks' agreement.",
        fields=(
            _SENSOR,
            Quantity("supply", "Supply, plugged in", Kind.VOLTAGE, "V", argument="supply_v",
                     least=0, most=50, hint="As measured: every limit below is a share of it."),
            Rows(
                "samples", "Readings, from rest to the end",
                (Quantity("first", "Track 1", Kind.VOLTAGE, "V", least=0, most=50),
                 Quantity("second", "Track 2", Kind.VOLTAGE, "V", required=False, least=0, most=50)),
                row_label="Reading", start=6, least=3, most=40, argument="samples_v",
                hint="Key on, engine off, plugged in. More places show more; a second track only where there is one.",
            ),
            Quantity("fault_low", "Fault below", Kind.PERCENT, "%", argument="fault_low_fraction", default="4 %",
                     section="Limits", hint="Of the supply."),
            Quantity("fault_high", "Fault above", Kind.PERCENT, "%", argument="fault_high_fraction", default="96 %",
                     section="Limits", hint="Of the supply."),
            Quantity("backward", "Step back allowed", Kind.PERCENT, "%", default="2 %", section="Limits",
                     hint="Of the travel."),
            Quantity("apart", "Tracks may part by", Kind.PERCENT, "%", argument="allowed_share", default="5 %",
                     section="Limits", hint="Of the travel."),
        ),
        work=_sweep,
        formula="travel = (V − V rest)/(V end − V rest), each track by its own ends",
        source="Common practice, no source; the maker's voltages come first",
        cautions=(KEY_ON, ELECTRONIC_THROTTLE, FUEL),
        example=Example(
            {"sensor": "throttle", "supply": "5 V",
             "samples": [("0.5 V", ""), ("1.5 V", ""), ("2.5 V", ""), ("3.5 V", ""), ("4.5 V", "")],
             "fault_low": "4 %", "fault_high": "96 %", "backward": "2 %", "apart": "5 %"},
            expects={"At rest": "0.5 V", "At the end": "4.5 V"},
            says="nothing wrong in 5 readings",
            source="A published throttle sensor specification: 0.5 V closed, 4.5 V wide open",
        ),
    ),
)  # fmt: skip
