"""The engine speed at wide-open throttle against its rated range, and the pitch that would bring it there."""

from dataclasses import dataclass
from math import ceil, floor

from engineering.amounts import (
    AmountProblem,
    RangePosition,
    exceeds,
    range_position,
    reaches,
    require_band,
    require_positive,
)

_ROUNDING = 1e-9
_NEAR_LIMITER, _PAST_LIMITER = 0.99, 1.03
"""A limiter hunts a little about its speed, and a tachometer is no better. Common practice, no source."""
_FASTEST = 2.0
"""Of the upper end: a propeller in air does not make it. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class FullThrottle:
    """A wide-open-throttle run against the rated range: ``off_rpm`` is how far outside it is, 0 inside."""

    standing: RangePosition
    off_rpm: float
    on_the_limiter: bool
    sentence: str
    look_at: tuple[str, ...]
    contradiction: str = ""
    """Why the figures cannot all be true; empty where they can. Then nothing is judged by them."""


@dataclass(frozen=True, slots=True)
class PitchAdvice:
    """Pitches in inches: from ``smallest_in`` to ``largest_in`` by the rule of rpm for each inch, and by proportion.

    ``sizes_in`` are the sizes to try, in the maker's steps, that the rule keeps within the rated range; the pitch there
    is now where the engine is in range. Empty where no size does.
    """

    full_throttle: FullThrottle
    target_rpm: float
    smallest_in: float
    largest_in: float
    by_proportion_in: float
    sizes_in: tuple[float, ...]


def judge_full_throttle(
    *, measured_rpm: float, rated_low_rpm: float, rated_high_rpm: float, limiter_rpm: float | None = None
) -> FullThrottle:
    """The engine speed that a loaded boat reaches at wide-open throttle, against the rated range from the manual.

    Below it the propeller loads the engine too much, or the engine lacks power; above it the propeller loads it too
    little, or slips. At the speed of a limiter (None where there is none) what the propeller would allow is not known.
    Raises ``AmountProblem`` for speeds not above 0 and a range upside down. Source: common practice, the rule of
    engine makers; back-pressure taken for a wrong propeller: a marine consultant's letter of December 2017.
    """
    require_positive("measured_rpm", measured_rpm, "The measured speed")
    _check_range(rated_low_rpm, rated_high_rpm)
    if limiter_rpm is not None:
        require_positive("limiter_rpm", limiter_rpm, "The limiter's speed")
        if exceeds(rated_low_rpm, limiter_rpm):
            raise AmountProblem("A limiter never acts below the rated range. Check both.", field="limiter_rpm")
    if exceeds(measured_rpm, _FASTEST * rated_high_rpm):
        raise AmountProblem(
            "No engine turns so far above its rated range. Check the tachometer and the range.", field="measured_rpm"
        )
    limited = limiter_rpm is not None and reaches(measured_rpm, _NEAR_LIMITER * limiter_rpm)
    standing = range_position(measured_rpm, low=rated_low_rpm, high=rated_high_rpm)
    if limiter_rpm is not None and exceeds(measured_rpm, _PAST_LIMITER * limiter_rpm):
        sentence = "The engine turned faster than its limiter lets it: the tachometer or the limiter's speed is wrong."
        off = max(measured_rpm - rated_high_rpm, 0.0)
        return FullThrottle(standing, off, True, sentence, (), "the tachometer or the limiter's speed is wrong")
    if limited and standing is RangePosition.BELOW:
        sentence = "The limiter held the engine below its rated range, where no limiter acts."
        off = rated_low_rpm - measured_rpm
        return FullThrottle(
            standing, off, True, sentence, (), "the tachometer, the range or the limiter's speed is off"
        )
    if limited:
        off = max(measured_rpm - rated_high_rpm, 0.0)
        return FullThrottle(standing, off, True, *_WORDS_ON_THE_LIMITER)
    if standing is RangePosition.BELOW:
        return FullThrottle(standing, rated_low_rpm - measured_rpm, False, *_WORDS_BELOW)
    if standing is RangePosition.ABOVE:
        return FullThrottle(standing, measured_rpm - rated_high_rpm, False, *_WORDS_ABOVE)
    return FullThrottle(standing, 0.0, False, "The propeller lets the engine reach its rated range.", ())


def advise_pitch(
    *,
    measured_rpm: float,
    pitch_in: float,
    rated_low_rpm: float,
    rated_high_rpm: float,
    least_rpm_per_inch: float,
    most_rpm_per_inch: float,
    target_rpm: float | None = None,
    limiter_rpm: float | None = None,
    step_in: float = 1.0,
) -> PitchAdvice:
    """The pitch that should bring the engine to ``target_rpm``, in the middle of its rated range where none is given.

    Two ways, as neither is exact: an inch of pitch changes the speed by a number of rpm handed in as a range
    (150 to 200 rpm, common practice, several propeller shops); and, at the same boat speed and slip,
    rpm · pitch stays the same (by the definition of pitch). ``step_in`` is the step in which sizes are sold.
    Sizes that would take the engine beyond its rated range are not offered. Raises ``AmountProblem`` for
    figures not above 0, ranges upside down, a target outside the rated range, a run on the limiter, and a change of
    more than a third of the pitch, which no propeller alone explains (common practice).
    """
    require_positive("pitch_in", pitch_in, "The pitch")
    require_positive("step_in", step_in, "The step between sizes")
    if step_in > pitch_in:
        raise AmountProblem("The step between sizes cannot be larger than the pitch.", field="step_in")
    require_positive("least_rpm_per_inch", least_rpm_per_inch, "The change of speed for each inch of pitch")
    require_band(
        "least_rpm_per_inch", least_rpm_per_inch, "most_rpm_per_inch", most_rpm_per_inch, "the change for each inch"
    )
    run = judge_full_throttle(
        measured_rpm=measured_rpm,
        rated_low_rpm=rated_low_rpm,
        rated_high_rpm=rated_high_rpm,
        limiter_rpm=limiter_rpm,
    )
    if run.contradiction:
        raise AmountProblem(run.sentence, field="limiter_rpm")
    if run.on_the_limiter:
        raise AmountProblem(
            "The limiter held the engine, so what this propeller would allow is not known. "
            "Fit more pitch and run again, or run at a throttle just short of the limiter.",
            field="measured_rpm",
        )
    target = _target_rpm(target_rpm, rated_low_rpm, rated_high_rpm)
    needed_rpm = target - measured_rpm
    by_rule = sorted(pitch_in - needed_rpm / per_inch for per_inch in (least_rpm_per_inch, most_rpm_per_inch))
    if by_rule[0] <= 0 or max(abs(one - pitch_in) for one in by_rule) > pitch_in / 3:
        raise AmountProblem(
            "The engine is so far from its range that a change of pitch cannot be the whole answer. "
            "Look at engine, gear and hull first.",
            field="measured_rpm",
        )
    in_range = run.standing is RangePosition.WITHIN
    sizes = (pitch_in,) if in_range else _sizes_between(by_rule[0], by_rule[1], step_in, pitch_in)
    if not in_range:

        def is_offered(size_in: float) -> bool:
            """Whether the rule reaches the target with this size, or at both of its ends stays in the rated range."""
            if by_rule[0] - _ROUNDING <= size_in <= by_rule[1] + _ROUNDING:
                return True
            reached = (measured_rpm + (pitch_in - size_in) * per for per in (least_rpm_per_inch, most_rpm_per_inch))
            return all(
                range_position(rpm, low=rated_low_rpm, high=rated_high_rpm) is RangePosition.WITHIN for rpm in reached
            )

        sizes = tuple(size for size in sizes if is_offered(size))
    return PitchAdvice(run, target, by_rule[0], by_rule[1], pitch_in * measured_rpm / target, sizes)


def _check_range(low_rpm: float, high_rpm: float) -> None:
    require_positive("rated_low_rpm", low_rpm, "The lower end of the rated range")
    require_positive("rated_high_rpm", high_rpm, "The upper end of the rated range")
    require_band("rated_low_rpm", low_rpm, "rated_high_rpm", high_rpm, "the rated range")


def _target_rpm(given: float | None, low_rpm: float, high_rpm: float) -> float:
    if given is None:
        return (low_rpm + high_rpm) / 2
    require_positive("target_rpm", given, "The speed to aim at")
    if range_position(given, low=low_rpm, high=high_rpm) is not RangePosition.WITHIN:
        raise AmountProblem("The speed to aim at lies outside the rated range.", field="target_rpm")
    return given


_MOST_SIZES = 5


def _sizes_between(smallest_in: float, largest_in: float, step_in: float, fitted_in: float) -> tuple[float, ...]:
    """The sizes sold from the smallest to the largest, at most five; where there is none, those on either side.

    Counted in steps from the one that is fitted, as that one was sold; one that was re-pitched to a part of an inch
    is none of them.
    """
    base_in = fitted_in if fitted_in == round(fitted_in) else 0.0
    first = ceil((smallest_in - base_in) / step_in - _ROUNDING)
    last = floor((largest_in - base_in) / step_in + _ROUNDING)
    if first > last:
        first, last = last, first
    first = max(first, floor(-base_in / step_in) + 1)  # no pitch of nothing or less
    return tuple(base_in + n * step_in for n in range(first, min(last, first + _MOST_SIZES - 1) + 1))


_WORDS_BELOW = (
    "The engine does not reach its rated range: the propeller loads it too much, or it lacks power.",
    (
        "Before changing pitch, rule out what takes power: throttle not opening fully, fuel or air restricted, "
        "exhaust back-pressure, a weak cylinder, a mode that protects the engine.",
        "Rule out what adds load: growth on the bottom, water in the bilge, more weight than usual, trim.",
        "If engine and hull are right, less pitch (or diameter) lets it turn faster.",
    ),
)
_WORDS_ABOVE = (
    "The engine turns faster than its rated range: the propeller loads it too little, or slips.",
    (
        "Rule out slip first: a spun hub, damaged blades, ventilation, a slipping clutch.",
        "Check the tachometer against another one.",
        "If nothing slips, more pitch (or diameter) holds it down. Do not run above the range meanwhile.",
    ),
)
_WORDS_ON_THE_LIMITER = (
    "The limiter held the engine, so the speed that this propeller would allow is not known; it may be higher.",
    (
        "Rule out slip first: a spun hub, damaged blades, ventilation, a slipping clutch.",
        "Then fit more pitch and run again.",
    ),
)
