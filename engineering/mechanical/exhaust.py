"""Exhaust back-pressure against its limits, and pipe sizes of wet systems."""

from dataclasses import dataclass

from engineering.amounts import (
    AmountProblem,
    RangePosition,
    range_position,
    require_band,
    require_not_negative,
    require_positive,
)

WET_DIAMETER_FACTOR = 1.4
"""A wet exhaust's diameter to a dry one's, so that it holds the same back-pressure: a rule of thumb in
Gerr, Boat Mechanical Systems Handbook (2009), chapter 7, as a wet system has about twice a dry one's back-pressure."""


@dataclass(frozen=True, slots=True)
class BackPressure:
    """A back-pressure against its limits; ``share`` of the upper one, None where there is none or it is 0."""

    standing: RangePosition
    share: float | None
    sentence: str
    look_at: tuple[str, ...]


def judge_back_pressure(*, measured_kpa: float, most_kpa: float | None, least_kpa: float | None = None) -> BackPressure:
    """A back-pressure measured at full load near the manifold, against the manual's limits, all in kPa.

    A wet exhaust can have a lower limit too, as some pressure keeps the water out. Raises ``AmountProblem`` for a
    negative value, no limit at all, or limits upside down. Source of what to look at: an engine maker's repower guide
    (2006, 2020) and Gerr, Boat Mechanical Systems Handbook (2009), chapter 7. The limits belong to the engine.
    """
    require_not_negative("measured_kpa", measured_kpa, "The back-pressure")
    if most_kpa is None and least_kpa is None:
        raise AmountProblem("Give the manual's limit.", field="most_kpa")
    if most_kpa is not None:
        require_not_negative("most_kpa", most_kpa, "The most back-pressure")
    if least_kpa is not None:
        require_not_negative("least_kpa", least_kpa, "The least back-pressure")
    if most_kpa is not None and least_kpa is not None:
        require_band("least_kpa", least_kpa, "most_kpa", most_kpa, "the limits")
    standing = range_position(measured_kpa, low=least_kpa, high=most_kpa)
    sentence, look_at = _WORDS[standing]
    return BackPressure(standing, measured_kpa / most_kpa if most_kpa else None, sentence, look_at)


def wet_diameter_mm(*, dry_diameter_mm: float, factor: float = WET_DIAMETER_FACTOR) -> float:
    """The diameter of a wet exhaust that takes the place of a dry one, in mm, as a first guess.

    Raises ``AmountProblem`` for values not above 0. Source: Gerr, Boat Mechanical Systems Handbook (2009), chapter 7.
    """
    require_positive("dry_diameter_mm", dry_diameter_mm, "The diameter")
    require_positive("factor", factor, "The factor")
    return dry_diameter_mm * factor


_WORDS: dict[RangePosition, tuple[str, tuple[str, ...]]] = {
    RangePosition.WITHIN: ("The back-pressure is within its limit.", ()),
    RangePosition.ABOVE: (
        "The back-pressure is above its limit and can restrict the engine.",
        (
            "Look for a collapsed or delaminated hose, a clogged elbow or riser, a flapper stuck shut, a muffler.",
            "Look at the run: length, diameter, sharp bends, outlets under water. Measure each bank; the worst counts.",
            "Fix this before changing the propeller: a restricted engine looks over-propped.",
        ),
    ),
    RangePosition.BELOW: (
        "Less back-pressure than the manual asks for, so water may come back up the exhaust.",
        ("Look for a leak before the gauge, and measure at full load.", "Compare hose diameter with the manual's."),
    ),
}
