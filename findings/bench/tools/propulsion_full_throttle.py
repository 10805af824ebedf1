"""Propulsion tools: the engine at wide-open throttle, and the pitch that it wants."""

from __future__ import annotations

from engineering.amounts import RangePosition
from engineering.measures import Kind
from engineering.propulsion import advise_pitch, judge_full_throttle
from findings.bench.tool import (
    Band,
    Example,
    Figure,
    Given,
    Group,
    Outcome,
    Prefill,
    Quantity,
    Tool,
    ToolContext,
    ToolProblem,
    Verdict,
)
from findings.bench.tools.propulsion import ON_RECORD, PITCH_FIELD, PROPELLER, rpm_words
from findings.cautions import RAISED_BOAT, UNDER_WAY


def _rated_low(at: ToolContext) -> Prefill | None:
    if at.engine is None or at.engine.rated_rpm_low is None:
        return None
    return Prefill(f"{at.engine.rated_rpm_low} rpm", ON_RECORD)


def _rated_high(at: ToolContext) -> Prefill | None:
    if at.engine is None or at.engine.rated_rpm_high is None:
        return None
    return Prefill(f"{at.engine.rated_rpm_high} rpm", ON_RECORD)


_SLOWEST = 0.4
"""Of the rated range, below which no propeller holds an engine (common practice, no source)."""


def _full_throttle(given: Given) -> Outcome:
    """The speed at wide-open throttle against the rated range."""
    low, high = given.number("low"), given.number("high")
    if 0 < given.number("revs") < _SLOWEST * low:
        raise ToolProblem(
            "No engine turns so slowly at wide-open throttle under load: was the throttle open, in gear and under way? "
            "An engine that is held down by its own control unit says nothing of the propeller.",
            field="revs",
        )
    main = Figure("Wide-open-throttle speed", given.number("revs"), "rpm", decimals=0, entered="revs")
    band = Band(low, high, "rpm", source="the rated range, as typed or on the engine's record")
    run = judge_full_throttle(
        measured_rpm=given.number("revs"),
        rated_low_rpm=low,
        rated_high_rpm=high,
        limiter_rpm=given.number_or_none("limiter"),
    )
    judged = given.judge(main, band)
    off = {
        RangePosition.BELOW: f" It is {judged.off} short.",
        RangePosition.ABOVE: f" It is {judged.off} over.",
    }.get(run.standing, "")
    return Outcome(
        f"{run.sentence}{off if not run.on_the_limiter else ''}",
        main=main,
        band=band,
        verdict=Verdict.OUT if run.on_the_limiter else None,
        not_judged=run.contradiction,
        notes=run.look_at,
        condition="wide-open throttle, loaded",
    )


def _pitch(given: Given) -> Outcome:
    """The pitch that should bring the engine to its rated range."""
    advice = advise_pitch(
        measured_rpm=given.number("revs"),
        pitch_in=given.number("pitch"),
        rated_low_rpm=given.number("low"),
        rated_high_rpm=given.number("high"),
        least_rpm_per_inch=given.number("least"),
        most_rpm_per_inch=given.number("most"),
        target_rpm=given.number_or_none("target"),
        limiter_rpm=given.number_or_none("limiter"),
        step_in=given.number("step"),
    )
    if advice.full_throttle.standing is RangePosition.WITHIN:
        sentence = "The engine reaches its rated range with this pitch: leave it."
    elif not advice.sizes_in:
        step = given.show(given.number("step"), "in", like="pitch")
        sentence = (
            f"No pitch in steps of {step} surely brings the engine into its rated range: have this one re-pitched, or "
            "try a propeller of another kind."
        )
    else:
        sizes = given.show_all(advice.sizes_in, "in", like="pitch")
        sentence = f"To reach {rpm_words(given, advice.target_rpm)}, try {sizes.replace(' and ', ' or ')} of pitch."
    return Outcome(
        sentence,
        figures=(
            Figure("By the rule, from", advice.smallest_in, "in", like="pitch"),
            Figure("By the rule, to", advice.largest_in, "in", like="pitch"),
            Figure("By proportion", advice.by_proportion_in, "in", like="pitch"),
            Figure("Speed aimed at", advice.target_rpm, "rpm", decimals=0),
        ),
        notes=(
            *advice.full_throttle.look_at,
            "Both ways are a first guess for a propeller of the same style and blade number; the run with it counts.",
        ),
    )


_RATED = (
    Quantity(
        "low",
        "Rated range, from",
        Kind.ROTATION,
        "rpm",
        argument="rated_low_rpm",
        default=_rated_low,
        section="Rated at wide-open throttle",
    ),
    Quantity(
        "high",
        "Rated range, to",
        Kind.ROTATION,
        "rpm",
        argument="rated_high_rpm",
        default=_rated_high,
        section="Rated at wide-open throttle",
    ),
    Quantity(
        "limiter",
        "Limiter acts at",
        Kind.ROTATION,
        "rpm",
        argument="limiter_rpm",
        required=False,
        section="Rated at wide-open throttle",
        hint="Leave empty where there is none.",
    ),
)


_RUN_FIELD = Quantity(
    "revs",
    "Speed at wide-open throttle",
    Kind.ROTATION,
    "rpm",
    argument="measured_rpm",
    least=0,
    most=20_000,
    hint="Usual load, trimmed, calm water; mean of a run each way.",
)


TOOLS = (
    Tool(
        slug="full-throttle",
        title="Wide-open-throttle check",
        group=Group.PROPULSION,
        purpose="Whether the engine reaches its rated range, and what it means if not.",
        fields=(_RUN_FIELD, *_RATED),
        work=_full_throttle,
        formula="rated from ≤ speed ≤ rated to",
        source="Common practice, the rule of engine makers; the range is the maker's",
        cautions=(UNDER_WAY, PROPELLER, RAISED_BOAT),
        logs_as="Wide-open-throttle speed",
        example=Example(
            {"revs": "4600 rpm", "low": "4850 rpm", "high": "5850 rpm"},
            expects={"Wide-open-throttle speed": "4600 rpm"},
            says="It is 250 rpm short.",
            source="A propeller shop's advice, its example",
        ),
    ),
    Tool(
        slug="propeller-pitch",
        title="Pitch for the rated range",
        group=Group.PROPULSION,
        purpose="Which pitch should bring the engine to its rated range.",
        fields=(
            _RUN_FIELD,
            PITCH_FIELD,
            *_RATED,
            Quantity(
                "target",
                "Speed to aim at",
                Kind.ROTATION,
                "rpm",
                argument="target_rpm",
                required=False,
                section="How to count",
                hint="Empty: the middle of the range.",
            ),
            Quantity(
                "step",
                "Sizes are sold in steps of",
                Kind.LENGTH,
                "in",
                us="in",
                metric="in",
                argument="step_in",
                default="1 in",
                section="How to count",
            ),
            Quantity(
                "least",
                "One inch changes at least",
                Kind.ROTATION,
                "rpm",
                argument="least_rpm_per_inch",
                default="150 rpm",
                section="How to count",
                hint="Common practice, no source.",
            ),
            Quantity(
                "most",
                "and at most",
                Kind.ROTATION,
                "rpm",
                argument="most_rpm_per_inch",
                default="200 rpm",
                section="How to count",
            ),
        ),
        work=_pitch,
        formula="pitch − (speed aimed at − speed) / rpm for each inch; and pitch × speed / speed aimed at",
        source="150 to 200 rpm for each inch: common practice, several propeller shops; proportion: by definition",
        cautions=(UNDER_WAY, PROPELLER, RAISED_BOAT),
        example=Example(
            {
                "revs": "6300 rpm",
                "pitch": "21 in",
                "low": "5900 rpm",
                "high": "6100 rpm",
                "step": "1 in",
                "least": "150 rpm",
                "most": "200 rpm",
            },
            expects={"By the rule, from": "22.5 in", "By the rule, to": "23 in", "Speed aimed at": "6000 rpm"},
            says="try 23 in of pitch",
            source="A marine parts dealer's guide: from 21 to 23 in takes about 300 to 400 rpm",
        ),
    ),
)
