"""A reading against its limits: in range, near the limit, or out."""

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum


class Verdict(StrEnum):
    """What the limits say about a value."""

    IN_RANGE = "in range"
    NEAR = "near"
    OUT = "out"
    NO_LIMITS = "no limits"


@dataclass(frozen=True, slots=True)
class Limits:
    """Limits of one parameter, all in one unit. Either limit may be missing. Raises ValueError where low > high."""

    low: Decimal | None = None
    high: Decimal | None = None
    nominal: Decimal | None = None
    near_fraction: Decimal = Decimal("0.10")


@dataclass(frozen=True, slots=True)
class Judgment:
    """``distance`` is how far out the value is, or how far inside its closer limit; never negative."""

    verdict: Verdict
    distance: Decimal | None
    sentence: str


def judge(value: Decimal, limits: Limits, *, unit: str = "count") -> Judgment:
    """Judge a value given in the same unit as its limits. ``unit`` is a key of ``measures.UNITS``, for the sentence."""
    raise NotImplementedError
