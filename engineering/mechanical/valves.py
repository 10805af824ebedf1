"""Valve clearance, and the shim that sets it."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import floor

from engineering.amounts import (
    AmountProblem,
    RangePosition,
    range_position,
    reaches,
    require_band,
    require_not_negative,
    require_positive,
)

_ROUNDING_MM = 1e-6


@dataclass(frozen=True, slots=True)
class Clearance:
    """A valve clearance against its limits: ``off_mm`` outside them, 0 inside."""

    standing: RangePosition
    off_mm: float
    sentence: str


@dataclass(frozen=True, slots=True)
class Shim:
    """A shim that can be had, and the clearance that it would give."""

    thickness_mm: float
    clearance_mm: float
    is_in_range: bool


def judge_clearance(*, measured_mm: float, least_mm: float, most_mm: float) -> Clearance:
    """A clearance in mm against the manual's limits, both allowed. 0 means that the true clearance is not known.

    Raises ``AmountProblem`` for negative values and limits upside down. Source: common practice, no source.
    """
    require_not_negative("measured_mm", measured_mm, "The clearance")
    _check_limits(least_mm, most_mm)
    standing = range_position(measured_mm, low=least_mm, high=most_mm)
    off = {RangePosition.BELOW: least_mm - measured_mm, RangePosition.ABOVE: measured_mm - most_mm}.get(standing, 0.0)
    sentence = _SENTENCES[standing]
    if not measured_mm:
        sentence += " No gap at all: the valve may not close; fit a thinner shim, measure again, then choose."
    return Clearance(standing, off, sentence)


def needed_shim_mm(*, fitted_shim_mm: float, measured_mm: float, target_mm: float) -> float:
    """The shim that would give the target clearance, in mm: fitted shim + measured − target.

    A gap too wide takes a thicker shim. Raises ``AmountProblem`` for a shim not above 0, negative clearances, and a
    result that is no shim. Source: engine makers' manuals, N = T + (A − V) (engine repair manual, 2003).
    """
    require_positive("fitted_shim_mm", fitted_shim_mm, "The fitted shim")
    require_not_negative("measured_mm", measured_mm, "The clearance")
    require_not_negative("target_mm", target_mm, "The clearance to aim at")
    needed = fitted_shim_mm + measured_mm - target_mm
    if needed <= _ROUNDING_MM:
        raise AmountProblem(
            "No shim is thin enough for that. Check the shim's thickness and the units.", field="fitted_shim_mm"
        )
    return needed


def choose_shim(
    *,
    fitted_shim_mm: float,
    measured_mm: float,
    least_mm: float,
    most_mm: float,
    target_mm: float | None = None,
    sizes_mm: Sequence[float],
) -> Shim:
    """The shim to fit out of those that can be had, nearest to the target clearance (the middle of the limits).

    Of two as near, the thinner, as a valve too tight burns. Raises ``AmountProblem`` as :func:`needed_shim_mm` does,
    for a target outside the limits, and for no sizes. The clearance must be measured again after fitting. Source:
    "as close as possible to the calculated value" (engine repair manual, 2003); the thinner of two: an engine maker's
    rule for shims in steps of two hundredths.
    """
    _check_limits(least_mm, most_mm)
    target = (least_mm + most_mm) / 2 if target_mm is None else target_mm
    if range_position(target, low=least_mm, high=most_mm) is not RangePosition.WITHIN:
        raise AmountProblem("The clearance to aim at lies outside the limits.", field="target_mm")
    if not sizes_mm:
        raise AmountProblem("Say which shims can be had.", field="sizes_mm")
    needed = needed_shim_mm(fitted_shim_mm=fitted_shim_mm, measured_mm=measured_mm, target_mm=target)
    for size in sizes_mm:
        require_positive("sizes_mm", size, "A shim's thickness")
    chosen = min(sizes_mm, key=lambda size: (round(abs(size - needed), 6), size))
    clearance = fitted_shim_mm + measured_mm - chosen
    in_range = (
        range_position(clearance, low=least_mm - _ROUNDING_MM, high=most_mm + _ROUNDING_MM) is RangePosition.WITHIN
    )
    return Shim(chosen, clearance, in_range)


def sizes_in_steps_mm(*, first_mm: float, last_mm: float, step_mm: float) -> tuple[float, ...]:
    """The shims from the first size to the last, in mm. Raises ``AmountProblem`` for sizes that make no series."""
    require_positive("first_mm", first_mm, "The thinnest shim")
    require_positive("step_mm", step_mm, "The step between shims")
    require_band("first_mm", first_mm, "last_mm", last_mm, "the sizes")
    count = floor((last_mm - first_mm) / step_mm + 1e-6)
    if count > 1000:
        raise AmountProblem("That would be more than a thousand sizes: check the step.", field="step_mm")
    return tuple(round(first_mm + n * step_mm, 6) for n in range(count + 1))


def _check_limits(least_mm: float, most_mm: float) -> None:
    require_not_negative("least_mm", least_mm, "The least clearance")
    require_band("least_mm", least_mm, "most_mm", most_mm, "the clearance")
    if not reaches(most_mm, _ROUNDING_MM):
        raise AmountProblem("The most clearance must be more than 0.", field="most_mm")


_SENTENCES = {
    RangePosition.BELOW: "Too tight.",
    RangePosition.WITHIN: "Clearance within its limits.",
    RangePosition.ABOVE: "Too wide.",
}
