"""A reading against its limits: in range, near the limit, or out."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from engineering.figures import Rounding, convert_sensibly
from engineering.measures import convert, show

_LIMIT_FIGURES = 4
"""One more than a converted value deserves: how far out a value is, is told from its limit (common practice)."""
_MOST_FIGURES = 9
_BAND_LOST = Decimal("0.02")
"""How much of a band rounding may cost before its limits are kept to one figure more."""


_DISTANCE_LOST = Decimal("0.01")
"""How much of a value's distance from a limit rounding may cost before the limit is kept to one figure more."""


class Verdict(StrEnum):
    """What the limits say about a value."""

    IN_RANGE = "in range"
    NEAR = "near"
    OUT = "out"
    NO_LIMITS = "no limits"


class LimitsProblem(ValueError):  # noqa: N818 - named after what it tells the user
    """Limits that contradict each other; ``sentence`` says how."""

    def __init__(self, sentence: str) -> None:
        """Keep the sentence for the field it belongs to."""
        super().__init__(sentence)
        self.sentence = sentence


@dataclass(frozen=True, slots=True)
class Limits:
    """Limits of one parameter, all in one unit. Either limit may be missing; the nominal value judges nothing.

    ``near_fraction`` of the band's width (of the limit's own size where there is only one) counts as near.
    Raises :class:`LimitsProblem` where low is above high, the nominal outside, or the fraction not from 0 to 0.5.
    """

    low: Decimal | None = None
    high: Decimal | None = None
    nominal: Decimal | None = None
    near_fraction: Decimal = Decimal("0.10")

    def __post_init__(self) -> None:
        """Refuse limits that no value could meet."""
        if self.low is not None and self.high is not None and self.low > self.high:
            raise LimitsProblem("The lower limit is above the upper one. Swap them.")
        if self.nominal is not None and (
            (self.low is not None and self.nominal < self.low) or (self.high is not None and self.nominal > self.high)
        ):
            raise LimitsProblem("The nominal value lies outside the limits.")
        if not 0 <= self.near_fraction <= Decimal("0.5"):
            raise LimitsProblem("The share of the band that counts as near must be from 0 to 50 %.")

    @property
    def near_width(self) -> Decimal:
        """How far inside a limit a value still counts as near, in the unit of the limits."""
        if self.low is not None and self.high is not None:
            return self.near_fraction * (self.high - self.low)
        only = self.low if self.low is not None else self.high
        return Decimal(0) if only is None else self.near_fraction * abs(only)


def convert_limits(
    limits: Limits,
    from_unit: str,
    to_unit: str,
    *,
    values: Iterable[Decimal] = (),
    most_decimals: int | None = None,
    is_difference: bool = False,
) -> Limits:
    """The limits in another unit of the same kind, with few more figures than they were written with.

    A lower limit is rounded up and an upper one down, so that no value passes here that the limits as written would
    refuse (common practice, no source), and to no fewer decimals than those of ``values``, which are in ``to_unit``:
    each of them is then out here exactly where it is out by the limits as written. A narrow band keeps more figures.
    How far out or inside one is that meets a limit badly is then right to a hundredth of that, as far as can be stored.
    ``most_decimals`` is the most that can be stored. ``is_difference``: they are of a rise or fall. Raises
    :class:`engineering.measures.MeasureProblem` where the kinds differ.
    """
    if from_unit == to_unit:
        return limits
    told = list(values)
    decimals = max((-int(one.normalize().as_tuple().exponent) for one in told), default=None)

    def turned(value: Decimal | None, toward: Rounding, figures: int) -> Decimal | None:
        if value is None:
            return None
        fewest = [one for one in (decimals, figures - _LIMIT_FIGURES or None) if one is not None]
        return convert_sensibly(
            value,
            from_unit,
            to_unit,
            toward=toward,
            least_figures=figures,
            most_decimals=most_decimals,
            least_decimals=max(fewest, default=None),
            is_difference=is_difference,
        )

    for figures in range(_LIMIT_FIGURES, _MOST_FIGURES + 1):
        low, high = turned(limits.low, Rounding.UP, figures), turned(limits.high, Rounding.DOWN, figures)
        if _keeps_its_width(low, high, limits, from_unit, to_unit):
            break
    else:
        low, high = (turned(limit, Rounding.NEAREST, _MOST_FIGURES) for limit in (limits.low, limits.high))
        figures = _MOST_FIGURES

    def in_full(value: Decimal | None) -> Decimal | None:
        return None if value is None else convert(value, from_unit, to_unit, is_difference=is_difference)

    exact = _Exact(in_full(limits.low), in_full(limits.high), limits.near_fraction)
    while figures < _MOST_FIGURES and not all(exact.is_told_by(low, high, value) for value in told):
        figures += 1
        low, high = turned(limits.low, Rounding.UP, figures), turned(limits.high, Rounding.DOWN, figures)
    nominal = None
    if limits.nominal is not None:
        nominal = convert_sensibly(
            limits.nominal, from_unit, to_unit, most_decimals=most_decimals, is_difference=is_difference
        )
    if nominal is not None:
        nominal = max(nominal, low) if low is not None else nominal
        nominal = min(nominal, high) if high is not None else nominal
    return Limits(low, high, nominal, limits.near_fraction)


@dataclass(frozen=True, slots=True)
class _Exact:
    """Limits in another unit with all their figures."""

    low: Decimal | None
    high: Decimal | None
    near_fraction: Decimal

    def is_told_by(self, low: Decimal | None, high: Decimal | None, value: Decimal) -> bool:
        """Whether rounded limits tell how far out a value is, or how little inside, as these do."""
        near = Limits(self.low, self.high, None, self.near_fraction).near_width
        for exact, rounded, beyond in ((self.low, low, -1), (self.high, high, 1)):
            if exact is None or rounded is None or beyond * (value - exact) < -near:
                continue
            if abs((value - rounded) - (value - exact)) > _DISTANCE_LOST * abs(value - exact):
                return False
        return True


def _keeps_its_width(low: Decimal | None, high: Decimal | None, limits: Limits, from_unit: str, to_unit: str) -> bool:
    """Whether rounding took next to nothing of the band; a single limit has no width to lose."""
    if low is None or high is None or limits.low is None or limits.high is None:
        return True
    width = convert(limits.high, from_unit, to_unit) - convert(limits.low, from_unit, to_unit)
    return low <= high and width - (high - low) <= _BAND_LOST * width


@dataclass(frozen=True, slots=True)
class Judgment:
    """``distance`` is how far out the value is, or how far inside its closer limit; never negative.

    ``by`` names what the verdict comes from where that is not the value itself: "lowest", "highest".
    """

    verdict: Verdict
    distance: Decimal | None
    sentence: str
    by: tuple[str, ...] = ()


def judge(value: Decimal, limits: Limits, *, unit: str = "count") -> Judgment:
    """Judge a value given in the same unit as its limits. ``unit`` is a key of ``measures.UNITS``, for the sentence.

    A value on a limit is inside it, and near. Two rules, both common practice without a source: the limits
    themselves are allowed values, and near starts at ``near_fraction`` of the band.
    """
    shown = show(value, unit)
    if limits.low is None and limits.high is None:
        return Judgment(Verdict.NO_LIMITS, None, f"{shown}, no limits to compare with")
    band = "band" if limits.low is not None and limits.high is not None else "limit"
    if limits.low is not None and value < limits.low:
        below = limits.low - value
        return Judgment(Verdict.OUT, below, f"{shown}, {show(below, unit)} below the {band}")
    if limits.high is not None and value > limits.high:
        above = value - limits.high
        return Judgment(Verdict.OUT, above, f"{shown}, {show(above, unit)} above the {band}")
    margin, side = _margin(value, limits)
    if margin <= limits.near_width:
        where = f"on the {side} limit" if not margin else f"{show(margin, unit)} inside the {side} limit"
        return Judgment(Verdict.NEAR, margin, f"{shown}, in range but only just: {where}")
    return Judgment(Verdict.IN_RANGE, margin, f"{shown}, in range")


_WORST_LAST = (Verdict.NO_LIMITS, Verdict.IN_RANGE, Verdict.NEAR, Verdict.OUT)


def judge_range(
    value: Decimal,
    limits: Limits,
    *,
    minimum: Decimal | None = None,
    maximum: Decimal | None = None,
    unit: str = "count",
) -> Judgment:
    """Judge a value with the lowest and the highest that an instrument kept; the worst of them is the verdict.

    Where that is not the value, the sentence says which, and what limit it meets badly.
    """
    own = judge(value, limits, unit=unit)
    extremes = {name: one for name, one in (("lowest", minimum), ("highest", maximum)) if one is not None}
    judged = {name: judge(one, limits, unit=unit) for name, one in extremes.items()}
    worst = max([own, *judged.values()], key=lambda one: _WORST_LAST.index(one.verdict))
    if worst.verdict is own.verdict:
        return own
    by = {name: one for name, one in judged.items() if one.verdict is worst.verdict}
    reasons = [_reason(name, extremes[name], one, limits, unit) for name, one in by.items()]
    return Judgment(worst.verdict, worst.distance, ", ".join([show(value, unit), *reasons]), tuple(by))


def _reason(name: str, extreme: Decimal, judged: Judgment, limits: Limits, unit: str) -> str:
    """Why an extreme has its verdict: "lowest 104 °F, below 165 °F"."""
    said = f"{name} {show(extreme, unit)}"
    if limits.low is not None and extreme < limits.low:
        return f"{said}, below {show(limits.low, unit)}"
    if limits.high is not None and extreme > limits.high:
        return f"{said}, above {show(limits.high, unit)}"
    return f"{name} {judged.sentence}"


def _margin(value: Decimal, limits: Limits) -> tuple[Decimal, str]:
    """How far inside its closer limit a value is, and which limit that is."""
    margins = []
    if limits.low is not None:
        margins.append((value - limits.low, "lower"))
    if limits.high is not None:
        margins.append((limits.high - value, "upper"))
    return min(margins)
