"""Repairs that held some hours: what every calculation about repairs starts from."""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Sequence
from dataclasses import dataclass, replace

from engineering.recurrence.problem import RecurrenceProblem, refuse_unless_confidence, refuse_unless_finite

FEWEST_REPAIRS = 5
FEWEST_RETURNS = 2
"""Below these a curve would look surer than it is (common practice, no source)."""
FEWEST_HULLS = 4.0
"""Repairs of fewer hulls, counted as if each had equally many, say too little of the others for a curve."""


@dataclass(frozen=True, slots=True)
class Held:
    """Repairs that held ``hours``: up to the scan that saw the fault back, or as far as is proven so far.

    ``hull`` is whatever tells the repairs of one hull from those of another; None for a hull of its own.
    ``least_hours`` is the last scan without the code before a return: it came back after that, and not after ``hours``.
    None: it came back at ``hours``.
    """

    hours: float
    came_back: bool
    repairs: int = 1
    hull: Hashable | None = None
    least_hours: float | None = None

    @property
    def last_without(self) -> float:
        """The hours to which it is known to have held."""
        return self.hours if self.least_hours is None or not self.came_back else self.least_hours

    @property
    def as_seen(self) -> Held:
        """The same, come back at the scan that saw it."""
        return self if self.least_hours is None else replace(self, least_hours=None)


def refuse_unless_held(rows: Sequence[Held]) -> None:
    """Refuse what no repair can have.

    Raises:
        RecurrenceProblem: hours that are negative, not finite, or out of order; no positive number of repairs.
    """
    for one in rows:
        refuse_unless_finite(one.hours, "The hours a repair held", field="hours")
        refuse_unless_finite(one.last_without, "The hours of the last scan without it", field="least_hours")
        if one.last_without > one.hours:
            raise RecurrenceProblem(
                "The last scan without it cannot be after the one that saw it.", field="least_hours"
            )
        if one.repairs < 1:
            raise RecurrenceProblem("Each row must stand for at least one repair.", field="repairs")


def alike_hulls(repairs: Iterable[float]) -> float:
    """To how many hulls with equally many of them these come; 0 for none."""
    counts = list(repairs)
    return sum(counts) ** 2 / sum(count * count for count in counts) if any(counts) else 0.0


def all_held_bound(repairs: int, *, confidence: float = 0.95) -> float:
    """The lower bound of the share that holds where all of so many repairs have: (α/2)^(1/n). 0 for no repair.

    Greenwood's error is nothing then, which would look sure. Source: Clopper and Pearson, Biometrika 26 (1934), from
    memory.

    Raises:
        RecurrenceProblem: a confidence out of its range.
    """
    refuse_unless_confidence(confidence)
    return float(((1 - confidence) / 2) ** (1 / repairs)) if repairs > 0 else 0.0
