"""Numbers handed to a calculation: refused where they make no sense, compared without tripping over rounding."""

from enum import StrEnum
from math import isclose, isfinite

_ROUNDING = 1e-9
"""Relative error that converting there and back may leave; far below what any gauge shows."""


class AmountProblem(ValueError):  # noqa: N818 - named after what it tells the user
    """A number that makes no sense where it stands: ``sentence`` says why, ``field`` is the argument it came in.

    ``row`` is its place in a list, counted from 1: the cylinder.
    """

    def __init__(self, sentence: str, *, field: str = "", row: int | None = None) -> None:
        """Keep the sentence for the field, and the row, that it belongs to."""
        super().__init__(sentence)
        self.sentence = sentence
        self.field = field
        self.row = row


class RangePosition(StrEnum):
    """Where a value stands to its limits."""

    BELOW = "below"
    WITHIN = "within"
    ABOVE = "above"


def require_number(field: str, value: float, what: str, *, row: int | None = None) -> None:
    """Refuse what is not a finite number. ``what`` begins the sentence: "The pitch"."""
    if not isfinite(value):
        raise AmountProblem(f"{what} is not a number.", field=field, row=row)


def require_positive(field: str, value: float, what: str, *, row: int | None = None) -> None:
    """Refuse anything but a finite number above zero."""
    require_number(field, value, what, row=row)
    if value <= 0:
        raise AmountProblem(f"{what} must be more than 0.", field=field, row=row)


def require_not_negative(field: str, value: float, what: str, *, row: int | None = None) -> None:
    """Refuse anything but a finite number from zero up."""
    require_number(field, value, what, row=row)
    if value < 0:
        raise AmountProblem(f"{what} cannot be less than 0.", field=field, row=row)


def require_share(field: str, value: float, what: str) -> None:
    """Refuse anything but a share above 0 and up to 1, so more than 0 % and at most 100 %."""
    require_number(field, value, what)
    if not 0 < value <= 1:
        raise AmountProblem(f"{what} must be more than 0 % and at most 100 %.", field=field)


def require_band(low_field: str, low: float, high_field: str, high: float, what: str) -> None:
    """Refuse limits that no value could meet. ``what`` names the band: "the rated range"."""
    require_number(low_field, low, f"The lower end of {what}")
    require_number(high_field, high, f"The upper end of {what}")
    if low > high:
        raise AmountProblem(f"The lower end of {what} is above its upper end. Swap them.", field=low_field)


def reaches(value: float, limit: float) -> bool:
    """Whether a value is at its limit or above it, the two being equal where only rounding parts them."""
    return value >= limit or isclose(value, limit, rel_tol=_ROUNDING)


def exceeds(value: float, limit: float) -> bool:
    """Whether a value is above its limit by more than rounding."""
    return not reaches(limit, value)


def range_position(value: float, *, low: float | None, high: float | None) -> RangePosition:
    """Where a value stands to its limits, both allowed values themselves; a limit that is None is not there."""
    if low is not None and not reaches(value, low):
        return RangePosition.BELOW
    if high is not None and exceeds(value, high):
        return RangePosition.ABOVE
    return RangePosition.WITHIN
