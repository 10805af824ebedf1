"""A set of compression readings: each cylinder against the rule handed in, and what the set suggests."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from engineering.amounts import (
    AmountProblem,
    exceeds,
    reaches,
    require_not_negative,
    require_number,
    require_positive,
    require_share,
)
from engineering.mechanical.compression_causes import Cylinder, Oil, Suggestion, suggest

_LEAST_FOR_ODD = 4
"""Of fewer nobody can say which is the odd one: two low neighbors of three are a head gasket."""


@dataclass(frozen=True, slots=True)
class CompressionRule:
    """What the maker's manual allows; None for what it does not say.

    ``least_share`` is the lowest cylinder's least share of the highest (a rule of "at most 10 % difference" is 0.9),
    ``least_kpa`` and ``most_kpa`` the limits of any cylinder, ``wet_rise`` by what share of its dry reading a cylinder
    must rise with oil for the rise to be clear. Raises ``AmountProblem`` for values without sense, or for no limit.
    """

    least_share: float | None = None
    least_kpa: float | None = None
    most_kpa: float | None = None
    wet_rise: float | None = None

    def __post_init__(self) -> None:
        """Refuse a rule that judges nothing, or that no cylinder could meet."""
        if self.least_share is not None:
            require_share("least_share", self.least_share, "The least share of the highest cylinder")
        if self.least_kpa is not None:
            require_positive("least_kpa", self.least_kpa, "The least compression")
        if self.most_kpa is not None:
            require_positive("most_kpa", self.most_kpa, "The most compression")
        if self.wet_rise is not None:
            require_positive("wet_rise", self.wet_rise, "The rise that counts as clear")
        if self.least_share is None and self.least_kpa is None:
            raise AmountProblem(
                "Give the manual's least compression, its least share of the highest cylinder, or both.",
                field="least_share",
            )
        if self.least_kpa is not None and self.most_kpa is not None and self.least_kpa > self.most_kpa:
            raise AmountProblem("The least compression is above the most. Swap them.", field="least_kpa")


@dataclass(frozen=True, slots=True)
class CompressionSet:
    """The set against the rule. ``spread`` is (highest − lowest) / highest, ``share`` lowest / highest.

    ``lowest_allowed_kpa`` is what the stricter of the two rules asks of each cylinder of this set.
    """

    cylinders: tuple[Cylinder, ...]
    highest_kpa: float
    share: float
    spread: float
    lowest_allowed_kpa: float
    suggestions: tuple[Suggestion, ...]

    @property
    def low(self) -> tuple[int, ...]:
        """The numbers of the cylinders that are too low."""
        return tuple(cylinder.number for cylinder in self.cylinders if cylinder.is_low)

    @property
    def odd_high(self) -> int | None:
        """The one cylinder that stands far above others that are even among themselves; None where there is none."""
        return next((cylinder.number for cylinder in self.cylinders if cylinder.is_odd_high), None)

    @property
    def passes(self) -> bool:
        """Whether every cylinder meets the rule."""
        return not any(cylinder.is_low or cylinder.above_most or cylinder.is_odd_high for cylinder in self.cylinders)


def judge_compression(
    *,
    dry_kpa: Sequence[float],
    rule: CompressionRule,
    wet_kpa: Sequence[float | None] | None = None,
    banks: Sequence[Sequence[int]] | None = None,
    oil_is_used: bool = True,
) -> CompressionSet:
    """Judge the readings of cylinders 1, 2, 3 … in kPa; ``wet_kpa`` the same with oil, None where it was not tried.

    ``banks`` names the cylinders of each bank in their order along it, as neighbors share a piece of head gasket:
    [[1, 2, 3, 4]] for an engine in line (the default), [[1, 3, 5], [2, 4, 6]] for a V6 numbered so. The ratio rule
    needs two cylinders. A reading of 0 is a reading. Where one cylinder alone stands so high that it makes all others
    look low, it is the odd one, and the others are measured by the next highest. ``oil_is_used`` is False for a diesel.

    Raises ``AmountProblem`` (``field`` is ``dry_kpa``, ``wet_kpa``, ``banks``, ``least_share`` or ``wet_rise``) for a
    negative reading, none above 0, wet readings that do not match the dry ones or lack a rule, and banks that are not
    the cylinders. Source: the ratio rule, the minimum beside it and the reading of the wet test are those of car
    makers' service manuals (1992 to 2012); the limits themselves belong to the engine and are handed in.
    """
    wet = _checked_readings(dry_kpa, wet_kpa, rule)
    rows = _checked_banks(banks, len(dry_kpa))
    highest, lowest = max(dry_kpa), min(dry_kpa)
    odd = _odd_high(dry_kpa, rule)
    measured_by = highest if odd is None else sorted(dry_kpa)[-2]
    cylinders = tuple(
        _cylinder(number, dry, wet_reading, measured_by, rule)
        for number, (dry, wet_reading) in enumerate(zip(dry_kpa, wet, strict=True), 1)
    )
    cylinders = tuple(replace(one, share=one.dry_kpa / highest, is_odd_high=one.number == odd) for one in cylinders)
    allowed = max((rule.least_share or 0) * measured_by, rule.least_kpa or 0)
    share = lowest / highest
    suggestions = suggest(cylinders, rows, oil_is_used=oil_is_used)
    return CompressionSet(cylinders, highest, share, 1 - share, allowed, suggestions)


def _odd_high(dry_kpa: Sequence[float], rule: CompressionRule) -> int | None:
    """The number of the cylinder that alone makes all others look low, which are even among themselves."""
    if rule.least_share is None or len(dry_kpa) < _LEAST_FOR_ODD:
        return None
    *others, highest = sorted(dry_kpa)
    makes_all_low = not reaches(others[-1], rule.least_share * highest)
    are_even = others[0] > 0 and reaches(others[0], rule.least_share * others[-1])
    return list(dry_kpa).index(highest) + 1 if makes_all_low and are_even else None


def _checked_readings(
    dry_kpa: Sequence[float], wet_kpa: Sequence[float | None] | None, rule: CompressionRule
) -> list[float | None]:
    """The wet readings beside the dry ones, both checked."""
    if not dry_kpa:
        raise AmountProblem("Give the reading of at least one cylinder.", field="dry_kpa")
    for number, reading in enumerate(dry_kpa, 1):
        require_not_negative("dry_kpa", reading, f"The reading of cylinder {number}", row=number)
    if max(dry_kpa) <= 0:
        raise AmountProblem(
            "No cylinder shows any compression: look at gauge, hose, throttle and whether the engine turns.",
            field="dry_kpa",
        )
    if rule.least_kpa is None and len(dry_kpa) < 2:
        raise AmountProblem(
            "One cylinder cannot be compared with another: give the manual's least compression.", field="least_share"
        )
    if wet_kpa is None:
        return [None] * len(dry_kpa)
    if len(wet_kpa) != len(dry_kpa):
        raise AmountProblem(
            "Give a wet reading, or leave its place empty, for each cylinder read dry.", field="wet_kpa"
        )
    for number, wet in enumerate(wet_kpa, 1):
        if wet is not None:
            require_not_negative("wet_kpa", wet, f"The wet reading of cylinder {number}", row=number)
    if rule.wet_rise is None and any(reading is not None for reading in wet_kpa):
        raise AmountProblem("Say by how much a cylinder must rise with oil for the rise to be clear.", field="wet_rise")
    return list(wet_kpa)


def _checked_banks(banks: Sequence[Sequence[int]] | None, count: int) -> Sequence[Sequence[int]]:
    if banks is None:
        return [range(1, count + 1)]
    named = [number for bank in banks for number in bank]
    for number in named:
        require_number("banks", number, "A cylinder's number")
    if sorted(named) != list(range(1, count + 1)):
        raise AmountProblem("Name each cylinder once in the banks, and no other.", field="banks")
    return banks


def _cylinder(number: int, dry: float, wet: float | None, highest: float, rule: CompressionRule) -> Cylinder:
    share = dry / highest
    return Cylinder(
        number=number,
        dry_kpa=dry,
        wet_kpa=wet,
        share=share,
        below_share=rule.least_share is not None and not reaches(share, rule.least_share),
        below_least=rule.least_kpa is not None and not reaches(dry, rule.least_kpa),
        above_most=rule.most_kpa is not None and exceeds(dry, rule.most_kpa),
        oil=_oil(dry, wet, rule.wet_rise),
    )


def _oil(dry: float, wet: float | None, clear_rise: float | None) -> Oil:
    if wet is None or clear_rise is None:
        return Oil.NOT_TRIED
    if wet > 0 and reaches(wet, dry * (1 + clear_rise)):
        return Oil.ROSE
    return Oil.FELL if wet < dry and reaches(dry * (1 - clear_rise), wet) else Oil.UNCHANGED
