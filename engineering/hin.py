"""Hull identification numbers: the format of 33 CFR 181.25, and the two formats before August 1984."""

from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True, slots=True)
class Hin:
    """A hull identification number taken apart.

    ``certified_month`` is 1–12; ``certified_year`` and ``model_year`` have four digits. The straight-year format
    of older boats has no model year.
    """

    country: str | None
    manufacturer_code: str
    serial: str
    certified_month: int
    certified_year: int
    model_year: int | None


@dataclass(frozen=True, slots=True)
class HinCheck:
    """The outcome of a check: ``problems`` say what is wrong, ``notes`` what is odd or was worked out."""

    ok: bool
    normalized: str
    hin: Hin | None
    problems: tuple[str, ...]
    notes: tuple[str, ...]


def check_hin(text: str, *, today: date) -> HinCheck:
    """Check a hull identification number and take it apart. ``today`` places the one-digit year in its decade."""
    raise NotImplementedError
