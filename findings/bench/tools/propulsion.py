"""Propulsion tools: propeller slip and gear ratio."""

from __future__ import annotations

from engineering.amounts import AmountProblem
from engineering.canonical import plain_decimal
from engineering.measures import Kind
from engineering.propulsion import (
    Slip,
    advance_per_turn_in,
    gear_ratio_from_rpm,
    gear_ratio_from_teeth,
    judge_slip,
    shaft_rpm,
    slip,
)
from findings.bench.tool import (
    Bounds,
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
    Whole,
)
from findings.cautions import RAISED_BOAT, ROTATING, UNDER_WAY

ON_RECORD = "on the engine's record"
PROPELLER = "Take the key or lanyard out before anybody touches the propeller, and block it before loosening its nut."


def _ratio_on_record(at: ToolContext) -> Prefill | None:
    if at.engine is None or at.engine.gear_ratio is None:
        return None
    return Prefill(plain_decimal(at.engine.gear_ratio), ON_RECORD)


def rpm_words(given: Given, value: float) -> str:
    """A speed of rotation in whole turns."""
    return given.show(value, "rpm", decimals=0)


def _slip(given: Given) -> Outcome:
    """The slip at a speed, against what is usual."""
    measured = slip(
        engine_rpm=given.number("revs"),
        pitch_in=given.number("pitch"),
        gear_ratio=given.number("ratio"),
        speed_m_s=given.number("speed"),
    )
    _refuse_what_no_propeller_does(given, measured)
    usual = given.band("usual")
    notes: tuple[str, ...] = ()
    said = ""
    if usual is not None:
        low, high = usual.low, usual.high
        try:
            judged = judge_slip(
                measured,
                usual_low=None if low is None else low / 100,
                usual_high=None if high is None else high / 100,
            )
        except AmountProblem as problem:
            raise ToolProblem(problem.sentence, field="usual") from problem
        said, notes = f" {judged.sentence}", judged.look_at
    advance = advance_per_turn_in(
        engine_rpm=given.number("revs"), gear_ratio=given.number("ratio"), speed_m_s=given.number("speed")
    )
    percent = 100 * measured.fraction
    main = Figure("Slip", percent, "%", decimals=1)
    found = given.judge(main, usual)
    doubt = ""
    if measured.fraction > _DOUBTFUL:
        notes = (_DOUBT, *notes)
        doubt = "" if found.is_out else "so much slip is seldom the propeller's; check the figures first"
    speed = given.show(measured.actual_m_s, "m/s", like="speed")
    propeller = shaft_rpm(engine_rpm=given.number("revs"), gear_ratio=given.number("ratio"))
    return Outcome(
        f"The propeller slips {found.shown} at {speed}.{said}",
        main=main,
        figures=(
            Figure("Theoretical speed", measured.theoretical_m_s, "m/s", significant=4, like="speed"),
            Figure("Advance for each turn", advance, "in", like="pitch"),
            Figure("Propeller speed", propeller, "rpm", decimals=0),
        ),
        band=usual,
        not_judged=doubt,
        notes=notes,
        condition=rpm_words(given, given.number("revs")),
    )


_SLOWEST_RPM = 200.0
"""No engine of a boat idles below. Common practice, no source."""
_DOUBTFUL, _IMPOSSIBLE, _TOO_FAST = 0.4, 0.6, -0.3
"""Slip as a share: seldom more, hardly ever more under way, and faster than any cup explains. Common practice."""
_DOUBT = (
    "More than 40 % is seldom slip alone: check pitch, gear ratio, the tachometer and the unit of the speed before the "
    "propeller is blamed. A displacement hull, a heavy load or a spun hub can explain it."
)


def _refuse_what_no_propeller_does(given: Given, measured: Slip) -> None:
    """Refuse figures that make a slip which no boat under way has."""
    if given.number("revs") < _SLOWEST_RPM:
        raise ToolProblem("No engine runs so slowly. Check the figure, and the tachometer.", field="revs")
    if _TOO_FAST <= measured.fraction <= 0:
        most = given.show(measured.theoretical_m_s, "m/s", significant=4, like="speed")
        raise ToolProblem(
            f"A propeller without any slip would make {most}, and the boat was not slower, so one of the figures is "
            "wrong. Take the mean of a run each way, over the water and not over the ground; read pitch and gear ratio "
            "off the parts, as cup adds pitch; check the tachometer.",
            field="speed",
        )
    if not _TOO_FAST <= measured.fraction <= _IMPOSSIBLE:
        raise ToolProblem(
            f"These figures make a slip of {100 * measured.fraction:.0f} %, which no boat under way has. Check speed "
            "and its unit, pitch, gear ratio and engine speed.",
            field="speed",
        )


def _gear(given: Given) -> Outcome:
    """The gear ratio from teeth or from two speeds."""
    if given.choice("way") == "teeth":
        driving, driven = given.whole_or_none("driving"), given.whole_or_none("driven")
        if driving is None or driven is None:
            raise ToolProblem("Count the teeth of both gears.", field="driving" if driving is None else "driven")
        ratio = gear_ratio_from_teeth(driving_teeth=driving, driven_teeth=driven)
    else:
        engine, propeller = given.number_or_none("turns"), given.number_or_none("propeller")
        if engine is None or propeller is None:
            raise ToolProblem("Enter both speeds.", field="turns" if engine is None else "propeller")
        ratio = gear_ratio_from_rpm(engine_rpm=engine, propeller_rpm=propeller)
    if not _LEAST_RATIO <= ratio <= _MOST_RATIO:
        raise ToolProblem(
            f"{ratio:.3g} to 1 is no ratio of a boat's gear. Swap the two, or count again.",
            field="driven" if given.choice("way") == "teeth" else "propeller",
        )
    return Outcome(
        f"{_turns(given.show(ratio, decimals=3))} of the engine for each turn of the propeller.",
        main=Figure("Gear ratio", ratio, decimals=3),
        notes=["The propeller turns faster than the engine, which is seldom: see that the two are not swapped."]
        if ratio < 1
        else [],
    )


def _turns(shown: str) -> str:
    return f"{shown} turn" if shown == "1" else f"{shown} turns"


_LEAST_RATIO, _MOST_RATIO = 0.5, 8.0
"""Engine turns for each of the propeller. Common practice, no source."""
PITCH_FIELD = Quantity(
    "pitch",
    "Pitch",
    Kind.LENGTH,
    "in",
    us="in",
    metric="in",
    argument="pitch_in",
    least=0,
    most=80,
    hint="As stamped on the hub.",
)


TOOLS = (
    Tool(
        slug="propeller-slip",
        title="Propeller slip",
        group=Group.PROPULSION,
        purpose="Theoretical speed, and how much of it the propeller loses in the water.",
        fields=(
            Quantity(
                "revs",
                "Engine speed",
                Kind.ROTATION,
                "rpm",
                argument="engine_rpm",
                least=0,
                most=20_000,
                hint="From a tachometer that you trust.",
            ),
            Quantity(
                "speed",
                "Boat speed",
                Kind.SPEED,
                "m/s",
                argument="speed_m_s",
                least=0,
                most=80,
                hint="Mean of a run each way.",
            ),
            PITCH_FIELD,
            Quantity(
                "ratio",
                "Gear ratio",
                Kind.COUNT,
                "count",
                fixed=": 1",
                argument="gear_ratio",
                least=0,
                most=20,
                default=_ratio_on_record,
                hint="Engine turns for each turn of the propeller.",
            ),
            Bounds("usual", "Usual slip", Kind.PERCENT, "%", parameter="Propeller slip"),
        ),
        work=_slip,
        formula="slip = 1 − speed / (rpm × pitch / ratio); in mph, rpm × pitch in inches / (ratio × 1056)",
        source="Definition of pitch; worked example in a hobby reference, “Propeller performance”",
        cautions=(UNDER_WAY, PROPELLER, RAISED_BOAT),
        logs_as="Propeller slip",
        presets=(
            Preset(
                "Planing hull, 10 to 20 %",
                {"usual": ("10 %", "20 %")},
                source="Common practice, repeated in several propeller articles",
            ),
        ),
        example=Example(
            {"revs": "6000 rpm", "speed": "68 mph", "pitch": "25 in", "ratio": "1.86"},
            expects={"Slip": "11 %", "Theoretical speed": "76.37 mph"},
            says="slips 11 %",
            source="Hobby reference, “Propeller performance”: 76.3 mph and 10.9 % by a rounded constant",
        ),
    ),
    Tool(
        slug="gear-ratio",
        title="Gear ratio",
        group=Group.PROPULSION,
        purpose="From the teeth of two gears, or from the speeds of engine and propeller.",
        fields=(
            Choice("way", "From", (("teeth", "Teeth"), ("speeds", "Speeds")), default="teeth"),
            Whole(
                "driving",
                "Driving gear",
                required=False,
                least=1,
                most=999,
                hint="Teeth on the engine's side.",
                argument="driving_teeth",
                width="half",
            ),
            Whole(
                "driven",
                "Driven gear",
                required=False,
                least=1,
                most=999,
                hint="Teeth on the propeller's side.",
                argument="driven_teeth",
                width="half",
            ),
            Quantity("turns", "Engine speed", Kind.ROTATION, "rpm", required=False, argument="engine_rpm"),
            Quantity("propeller", "Propeller speed", Kind.ROTATION, "rpm", required=False, argument="propeller_rpm"),
        ),
        work=_gear,
        formula="ratio = driven teeth / driving teeth = engine speed / propeller speed",
        source="Definition of the ratio",
        cautions=(ROTATING, PROPELLER, RAISED_BOAT),
        logs_as="Gear ratio",
        example=Example(
            {"way": "speeds", "turns": "5400 rpm", "propeller": "2700 rpm"},
            expects={"Gear ratio": "2"},
            source="A boat owners' forum, thread on propeller slip: 5400 rpm at 2:1 are 2700 rpm",
        ),
    ),
)
