"""Every value of a parameter counted by its integer on the wire, for an exact median in memory that does not grow.

A field of up to 16 bits has a place for each value it can have. A wider one (hours, capacity, temperature in
thousandths) keeps the values that were sent, sorted, with their counts; should there be more than 65,536 different
ones, neighbors are put together two by two until they fit again, and the median is then known to so many steps.
"""

from typing import Protocol

import numpy as np

from engineering.canlog.frames import Ints

_NARROW, _DIFFERENT = 16, 1 << 16


class Counts(Protocol):
    """Counted values, and the middle one."""

    def add(self, values: Ints) -> None:
        """Count values."""

    def median(self) -> tuple[int, int]:
        """The lower middle value, and how many steps of the wire it can be off."""


def counts_for(width: int, *, signed: bool) -> Counts:
    """Counts for a field of so many bits."""
    if width > _NARROW:
        return _SomeCounts()
    return _AllCounts(width, -(1 << width - 1) if signed else 0)


class _AllCounts:
    """A place for every value. Untouched places cost nothing: the system hands out their memory when first written."""

    def __init__(self, width: int, lowest: int) -> None:
        self._lowest = lowest
        self._places = np.zeros(1 << width, np.uint32)

    def add(self, values: Ints) -> None:
        np.add.at(self._places, values - self._lowest, 1)

    def median(self) -> tuple[int, int]:
        filled = np.flatnonzero(self._places)
        return int(filled[_middle(self._places[filled].astype(np.int64))]) + self._lowest, 0


class _SomeCounts:
    """The values that were sent, in order, with their counts; halved in fineness when they become too many."""

    def __init__(self) -> None:
        self._shift = 0
        self._values = np.zeros(0, np.int64)
        self._counts = np.zeros(0, np.int64)

    def add(self, values: Ints) -> None:
        new, counts = np.unique(values >> self._shift, return_counts=True)
        self._merge(np.concatenate((self._values, new)), np.concatenate((self._counts, counts)))
        while len(self._values) > _DIFFERENT:
            self._shift += 1
            self._merge(self._values >> 1, self._counts)

    def _merge(self, values: Ints, counts: Ints) -> None:
        self._values, places = np.unique(values, return_inverse=True)
        self._counts = np.zeros(len(self._values), np.int64)
        np.add.at(self._counts, places, counts)

    def median(self) -> tuple[int, int]:
        lowest = int(self._values[_middle(self._counts)]) << self._shift
        half = (1 << self._shift) // 2
        return lowest + half, half


def _middle(counts: Ints) -> int:
    """The place of the lower middle one of all that were counted."""
    upto = np.cumsum(counts, dtype=np.int64)
    return int(np.searchsorted(upto, (upto[-1] - 1) // 2, side="right"))
