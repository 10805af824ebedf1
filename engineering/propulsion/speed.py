"""What a propeller would do in a solid, and what it does in water: theoretical speed, slip, gear ratio."""

from dataclasses import dataclass

from engineering.amounts import (
    AmountProblem,
    RangePosition,
    range_position,
    require_band,
    require_not_negative,
    require_positive,
)

_INCH_M = 0.0254


@dataclass(frozen=True, slots=True)
class Slip:
    """Theoretical and actual speed, and the slip between them as a fraction of the theoretical one."""

    theoretical_m_s: float
    actual_m_s: float
    fraction: float

    @property
    def is_negative(self) -> bool:
        """Whether the boat went faster than the propeller could screw forward."""
        return self.fraction < 0


@dataclass(frozen=True, slots=True)
class SlipJudgment:
    """A slip against the range that is usual for the hull, and what to look at."""

    standing: RangePosition
    sentence: str
    look_at: tuple[str, ...]


def theoretical_speed_m_s(*, engine_rpm: float, pitch_in: float, gear_ratio: float) -> float:
    """Speed of a propeller that screws forward by its whole pitch with each turn, in m/s.

    ``pitch_in`` in inches, ``gear_ratio`` engine turns for each turn of the propeller. Raises ``AmountProblem`` for
    anything not above 0. Source: definition of pitch; in the trade's units, mph = rpm · pitch / (ratio · 1056), as
    1056 = 63360 / 60 (hobby reference "Propeller performance").
    """
    return shaft_rpm(engine_rpm=engine_rpm, gear_ratio=gear_ratio) / 60 * _checked_pitch_in(pitch_in) * _INCH_M


def slip(*, engine_rpm: float, pitch_in: float, gear_ratio: float, speed_m_s: float) -> Slip:
    """The slip at a measured speed over the water: 1 − actual / theoretical.

    Negative where the boat is faster than the propeller could screw: an input is wrong, the blades are cupped, or a
    current helped. Raises ``AmountProblem`` for a negative speed, or for rpm, pitch or ratio not above 0.
    Source: hobby reference "Propeller performance".
    """
    require_not_negative("speed_m_s", speed_m_s, "The speed")
    theoretical = theoretical_speed_m_s(engine_rpm=engine_rpm, pitch_in=pitch_in, gear_ratio=gear_ratio)
    return Slip(theoretical, speed_m_s, 1 - speed_m_s / theoretical)


def judge_slip(measured: Slip, *, usual_low: float | None, usual_high: float | None) -> SlipJudgment:
    """A slip against the range handed in, both ends as fractions; an end that is None is not there.

    Raises ``AmountProblem`` where the range is upside down, below 0 or not below 1. What to look at is common
    practice, no source.
    """
    _check_usual(usual_low, usual_high)
    if measured.is_negative:
        return SlipJudgment(
            RangePosition.BELOW,
            "The boat went faster than the propeller could screw forward, so one of the figures is wrong.",
            (
                "Take the speed as the mean of a run each way, over the water and not over the ground.",
                "Read pitch and gear ratio off the parts; cup or rework adds pitch.",
                "Check the tachometer against another one.",
            ),
        )
    standing = range_position(measured.fraction, low=usual_low, high=usual_high)
    if standing is RangePosition.BELOW:
        return SlipJudgment(
            standing,
            "Less slip than is usual for this hull.",
            ("Check pitch, gear ratio, tachometer and speed before relying on it.", "Cup or rework adds pitch."),
        )
    if standing is RangePosition.ABOVE:
        return SlipJudgment(
            standing,
            "More slip than is usual for this hull.",
            (
                "Look for a slipping hub, bent or chipped blades, and growth on propeller and bottom.",
                "Look for ventilation: engine height, trim, a fitting or a through-hull ahead of the propeller.",
                "Consider load and water on board, and whether diameter and blades suit the boat.",
            ),
        )
    return SlipJudgment(standing, "Slip as is usual for this hull.", ())


def shaft_rpm(*, engine_rpm: float, gear_ratio: float) -> float:
    """Turns of the propeller a minute. Raises ``AmountProblem`` for rpm or ratio not above 0. By definition."""
    require_positive("engine_rpm", engine_rpm, "The engine speed")
    require_positive("gear_ratio", gear_ratio, "The gear ratio")
    return engine_rpm / gear_ratio


def gear_ratio_from_rpm(*, engine_rpm: float, propeller_rpm: float) -> float:
    """Engine turns for each turn of the propeller. Raises ``AmountProblem`` for rpm not above 0. By definition."""
    require_positive("engine_rpm", engine_rpm, "The engine speed")
    require_positive("propeller_rpm", propeller_rpm, "The propeller speed")
    return engine_rpm / propeller_rpm


def gear_ratio_from_teeth(*, driving_teeth: int, driven_teeth: int) -> float:
    """The ratio of a pair of gears: teeth of the driven over teeth of the driving one.

    Raises ``AmountProblem`` for fewer than one tooth. By definition; a gear that drives the propeller at a third of
    the engine's speed has a ratio of 3.
    """
    require_positive("driving_teeth", driving_teeth, "The driving gear's number of teeth")
    require_positive("driven_teeth", driven_teeth, "The driven gear's number of teeth")
    return driven_teeth / driving_teeth


def advance_per_turn_in(*, engine_rpm: float, gear_ratio: float, speed_m_s: float) -> float:
    """How far the boat went with each turn of the propeller, in inches: the pitch less the slip.

    Raises ``AmountProblem`` for a negative speed, or for rpm or ratio not above 0. By definition.
    """
    require_not_negative("speed_m_s", speed_m_s, "The speed")
    return speed_m_s * 60 / shaft_rpm(engine_rpm=engine_rpm, gear_ratio=gear_ratio) / _INCH_M


def _check_usual(low: float | None, high: float | None) -> None:
    for field, end, what in (("usual_low", low, "lower"), ("usual_high", high, "upper")):
        if end is None:
            continue
        require_not_negative(field, end, f"The {what} end of the usual slip")
        if end >= 1:
            raise AmountProblem(f"The {what} end of the usual slip must be less than 100 %.", field=field)
    if low is not None and high is not None:
        require_band("usual_low", low, "usual_high", high, "the usual slip")


def _checked_pitch_in(pitch_in: float) -> float:
    require_positive("pitch_in", pitch_in, "The pitch")
    return pitch_in
