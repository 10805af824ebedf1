"""The parts of a test's sum by hull: events of one hull may hang together, and a few hulls say little of others."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Callable, Hashable, Sequence
from dataclasses import dataclass

from engineering.recurrence.distributions import t_quantile, t_two_sided
from engineering.recurrence.events import EventRecord
from engineering.recurrence.held import FEWEST_HULLS, alike_hulls
from engineering.recurrence.problem import NotEnough


@dataclass(frozen=True, slots=True)
class HullSquares:
    """What a test's sum is made of: how many hulls, how many count alike, and the squares of the hulls' parts.

    A part is held against what the whole sum leaves to that hull, by its share of what the sum is expected to vary.
    """

    hulls: int
    squares: float
    alike: float

    def p_value(self, total: float) -> float:
        """The two-sided chance of such a sum, Student's t of ``alike`` − 1 degrees of freedom."""
        squares = self.squares * self.hulls / (self.hulls - 1)
        return t_two_sided(total / math.sqrt(squares), self.alike - 1) if squares > 0 else 0.0

    def reach(self, confidence: float) -> float:
        """The factor to the bounds of a value whose logarithm has these parts."""
        squares = self.squares * self.hulls / (self.hulls - 1)
        return math.exp(min(700.0, t_quantile(0.5 + confidence / 2, self.alike - 1) * math.sqrt(squares)))


def over_hulls(
    records: Sequence[EventRecord], part: Callable[[EventRecord], tuple[float, float]]
) -> HullSquares | NotEnough | None:
    """The parts of a test's sum by hull, each with what it is expected to vary; None where hulls are not told apart."""
    if len(records) < 2 or any(record.hull is None for record in records):
        return None
    parts: dict[Hashable, float] = defaultdict(float)
    weights: dict[Hashable, float] = defaultdict(float)
    for record in records:
        if record.usable:
            own, weight = part(record)
            parts[record.hull] += own
            weights[record.hull] += weight
    alike = alike_hulls(weights.values())
    if alike < FEWEST_HULLS:
        return NotEnough(few_hulls(len(parts)))
    each = sum(parts.values()) / sum(weights.values())
    return HullSquares(len(parts), sum((own - each * weights[hull]) ** 2 for hull, own in parts.items()), alike)


def few_hulls(hulls: int) -> str:
    """Why a trend over hulls is not told."""
    of = "one hull" if hulls == 1 else f"{hulls} hulls"
    return f"Not enough data for a trend over hulls: all or most of them are of {of}, which says little of others."
