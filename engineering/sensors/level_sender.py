"""Tank level senders: a resistance that follows the float, by a calibration curve."""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise

from engineering.amounts import AmountProblem, exceeds, require_not_negative, require_number

TOLERANCE_OHM = 10.0
OPEN_MARGIN = 0.10


class SenderState(StrEnum):
    """What a resistance says about the sender."""

    READS = "reads"
    BEYOND_EMPTY = "beyond empty"
    BEYOND_FULL = "beyond full"
    OPEN = "open"
    SHORTED = "shorted"


@dataclass(frozen=True, slots=True)
class SenderReading:
    """``fraction`` is 0 for the float at its lowest and 1 at its highest, or None where the sender failed."""

    fraction: float | None
    state: SenderState
    sentence: str


@dataclass(frozen=True, slots=True)
class LevelSender:
    """A sender's calibration curve: pairs of float position (0 to 1) and ohms, rising or falling, at least both ends.

    Between the points the resistance is taken as straight. A sender reads ``tolerance_ohm`` past either end at most
    (±10 Ω: sender makers' help pages), and more than ``open_margin`` above its highest resistance is an open circuit
    (common practice, no source). Raises :class:`AmountProblem` for a curve that turns or lacks an end.
    """

    points: tuple[tuple[float, float], ...]
    tolerance_ohm: float = TOLERANCE_OHM
    open_margin: float = OPEN_MARGIN

    def __post_init__(self) -> None:
        """Put the points in order and refuse what is no curve."""
        for row, (fraction, ohm) in enumerate(self.points, start=1):
            require_number("points", fraction, "The position", row=row)
            require_not_negative("points", ohm, "The resistance", row=row)
        require_not_negative("tolerance_ohm", self.tolerance_ohm, "The tolerance")
        ordered = tuple(sorted(self.points))
        if len(ordered) < 2 or ordered[0][0] != 0 or ordered[-1][0] != 1:
            raise AmountProblem("A curve needs the resistance at 0 % and at 100 % at least.", field="points")
        rises = ordered[0][1] < ordered[-1][1]
        for (lower, lower_ohm), (upper, upper_ohm) in pairwise(ordered):
            row = self.points.index((upper, upper_ohm)) + 1
            if lower == upper:
                raise AmountProblem(f"The curve has {lower * 100:g} % twice.", field="points", row=row)
            if lower_ohm == upper_ohm or (lower_ohm < upper_ohm) is not rises:
                span = f"{lower * 100:g} % and {upper * 100:g} %"
                raise AmountProblem(
                    f"The resistance turns between {span}. It must always rise or always fall.", field="points", row=row
                )
        object.__setattr__(self, "points", ordered)

    @property
    def rises(self) -> bool:
        """Whether the resistance rises as the tank fills."""
        return self.points[0][1] < self.points[-1][1]

    def resistance_ohm(self, fraction: float) -> float:
        """The resistance in ohms at ``fraction`` of the float's travel; :class:`AmountProblem` past its ends."""
        require_number("fraction", fraction, "The level")
        if not 0 <= fraction <= 1:
            raise AmountProblem("The level must be from 0 to 100 %.", field="fraction")
        return _interpolated(self.points, fraction)

    def read(self, resistance_ohm: float) -> SenderReading:
        """The float's position at a resistance in ohms, or that the sender failed; the sender alone, unplugged.

        Raises :class:`AmountProblem` for what is no resistance.
        """
        require_not_negative("resistance_ohm", resistance_ohm, "The resistance")
        least, most = sorted((self.points[0][1], self.points[-1][1]))
        if exceeds(resistance_ohm, most * (1 + self.open_margin)):
            return SenderReading(None, SenderState.OPEN, _OPEN)
        if resistance_ohm < least - self.tolerance_ohm:
            return SenderReading(None, SenderState.SHORTED, _SHORTED)
        if least <= resistance_ohm <= most:
            by_ohm = sorted((ohm, fraction) for fraction, ohm in self.points)
            return SenderReading(_interpolated(by_ohm, resistance_ohm), SenderState.READS, "Within the sender's range.")
        is_full = (resistance_ohm > most) is self.rises
        sentence = _JUST_PAST.format(end="full" if is_full else "empty")
        if resistance_ohm < least <= self.tolerance_ohm:
            sentence += " A wire shorted to ground reads the same: unplug the sender and measure it alone."
        state = SenderState.BEYOND_FULL if is_full else SenderState.BEYOND_EMPTY
        return SenderReading(1.0 if is_full else 0.0, state, sentence)


def straight_sender(empty_ohm: float, full_ohm: float) -> LevelSender:
    """A sender known by its two ends only, in ohms; raises :class:`AmountProblem` where they are the same or negative.

    A real one is seldom straight: measure points and give them as a curve.
    """
    return LevelSender(((0.0, empty_ohm), (1.0, full_ohm)))


AMERICAN = LevelSender(((0.0, 240.0), (0.5, 103.0), (1.0, 33.0)))
"""Empty 240 Ω, half 103 Ω, full 33 Ω. Source: sender makers' help pages, boating forums for the middle."""
EUROPEAN = straight_sender(10.0, 180.0)
"""10 Ω empty, 180 Ω full. Source: sender makers' help pages."""

_OPEN = "More than the sender has at its end: open winding, wire or ground, or the wrong sender for this gauge."
_SHORTED = "Less than the sender has at its end: shorted, or the wrong sender for this gauge."
_JUST_PAST = "A little past the {end} end, as senders are made."


def _interpolated(points: Sequence[tuple[float, float]], at: float) -> float:
    """The height of a line through points, in order, at a place between its ends."""
    for (before, low), (after, high) in pairwise(points):
        if at <= after:
            return low + (high - low) * (at - before) / (after - before)
    return points[-1][1]
