"""A tank of any shape, by what was filled into it and how high it stood each time."""

from bisect import bisect_left
from collections.abc import Sequence
from itertools import pairwise

from engineering.amounts import AmountProblem, require_not_negative, require_positive
from engineering.tanks.shapes import require_inside


class MeasuredFills:
    """Pairs of height in meters and contents in cubic meters, in any order; the highest is the top of the table.

    An empty tank (0, 0) is added where no height of 0 was measured. Between two measurements the contents are taken
    as straight over the height: that invents no bulge and never falls. Above the highest measurement nothing is
    guessed. Raises :class:`AmountProblem` where a higher level does not hold more.
    """

    def __init__(self, fills: Sequence[tuple[float, float]]) -> None:
        """Put the measurements in order and refuse what no tank does."""
        for row, (height, volume) in enumerate(fills, start=1):
            require_not_negative("fills", height, "The height", row=row)
            require_not_negative("fills", volume, "The volume", row=row)
        ordered = sorted(fills)
        if not ordered or ordered[0][0] > 0:
            ordered.insert(0, (0.0, 0.0))
        if len(ordered) < 2:
            raise AmountProblem("Measure at one height at least, above the empty tank.", field="fills")
        for (lower_m, less_m3), (upper_m, more_m3) in pairwise(ordered):
            row = fills.index((upper_m, more_m3)) + 1
            if lower_m == upper_m:
                raise AmountProblem("Two measurements have the same height. Leave one out.", field="fills", row=row)
            if less_m3 >= more_m3:
                raise AmountProblem(
                    "This holds no more than the measurement below it. Check it; each volume is the whole "
                    "contents, not what was added.",
                    field="fills",
                    row=row,
                )
        self.fills = tuple(ordered)

    @property
    def height_m(self) -> float:
        """The highest level that was measured."""
        return self.fills[-1][0]

    @property
    def capacity_m3(self) -> float:
        """The contents at the highest level that was measured."""
        return self.fills[-1][1]

    def volume_m3(self, height_m: float) -> float:
        """The contents up to a height in meters; raises :class:`AmountProblem` outside of what was measured."""
        require_inside(height_m, self.height_m)
        at = max(1, bisect_left([height for height, _ in self.fills], height_m))
        (lower_m, less_m3), (upper_m, more_m3) = self.fills[at - 1], self.fills[at]
        return less_m3 + (more_m3 - less_m3) * (height_m - lower_m) / (upper_m - lower_m)


def fills_from_additions(fills: Sequence[tuple[float, float]]) -> MeasuredFills:
    """The same from what was added each time: pairs of the height in meters reached and the cubic meters added.

    The tank is empty at first. Raises :class:`AmountProblem` where nothing was added, or a level did not rise.
    """
    total = 0.0
    whole: list[tuple[float, float]] = []
    for row, (height, added) in enumerate(fills, start=1):
        require_positive("fills", added, "What was added", row=row)
        require_not_negative("fills", height, "The height", row=row)
        if whole and height <= whole[-1][0]:
            raise AmountProblem("Each filling must reach higher than the one before it.", field="fills", row=row)
        total += added
        whole.append((height, total))
    return MeasuredFills(whole)
