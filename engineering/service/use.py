"""How many hours a day an engine is used, from readings of its true hours."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from itertools import pairwise

from engineering.amounts import AmountProblem
from engineering.hours import hours_words


@dataclass(frozen=True, slots=True)
class HoursOn:
    """An engine's true hours on a day: over all its meters, so that a new meter does not set them back.

    ``hours`` is None where nobody read them. Raises ``AmountProblem`` for hours that are no number or below 0.
    """

    on: date
    hours: Decimal | None

    def __post_init__(self) -> None:
        """Refuse hours that no engine has."""
        if self.hours is not None and (not self.hours.is_finite() or self.hours < 0):
            raise AmountProblem("Engine hours are a number from 0 up.", field="hours")


@dataclass(frozen=True, slots=True)
class UseRate:
    """Hours run over a number of days."""

    hours: Decimal
    days: int

    @property
    def per_day(self) -> float:
        """Hours a day."""
        return float(self.hours) / self.days

    @property
    def per_week(self) -> float:
        """Hours a week."""
        return 7 * self.per_day

    @property
    def is_laid_up(self) -> bool:
        """Whether its hours did not grow: it did not run, or its meter stands, or it was read twice on one day."""
        return not self.hours


def use_rate(readings: Iterable[HoursOn], *, since_on: date | None = None) -> UseRate | None:
    """Hours run between the first and the last reading, over the days between them; in any order.

    With ``since_on`` only readings from that day on count, such as those of the last 12 months. None where there are
    not two days with readings: then the use is not known, which is not the same as laid up. More than 24 hours a day
    would be impossible: then both days count in full.

    Raises ``AmountProblem`` (``field`` "hours") for a reading lower than an earlier one, naming both, as a rate is
    never negative, and for more hours than the clock has. Source: common practice, no source.
    """
    known = sorted(
        (reading.on, reading.hours)
        for reading in readings
        if reading.hours is not None and (since_on is None or reading.on >= since_on)
    )
    for (earlier_on, earlier), (later_on, later) in pairwise(known):
        _refuse_impossible(earlier_on, earlier, later_on, later)
    if not known or known[0][0] == known[-1][0]:
        return None
    (first_on, first), (last_on, last) = known[0], known[-1]
    days = (last_on - first_on).days
    return UseRate(last - first, days if last - first <= 24 * days else days + 1)


def _refuse_impossible(earlier_on: date, earlier: Decimal, later_on: date, later: Decimal) -> None:
    if later < earlier:
        raise AmountProblem(
            f"{hours_words(later)} on {later_on} is less than {hours_words(earlier)} on {earlier_on}. "
            "Read the meter again; if it was replaced, log that first, so that the engine hours continue.",
            field="hours",
        )
    if later - earlier > 24 * ((later_on - earlier_on).days + 1):
        raise AmountProblem(
            f"From {hours_words(earlier)} on {earlier_on} to {hours_words(later)} on {later_on} is more than "
            "the clock has. A decimal point may be missing.",
            field="hours",
        )
