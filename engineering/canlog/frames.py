"""Frames in bulk: columns of numpy arrays, and the tally of all that is not a data frame with a 29-bit identifier."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
import numpy.typing as npt

Ints: TypeAlias = npt.NDArray[np.int64]
Bytes: TypeAlias = npt.NDArray[np.uint8]
Mask: TypeAlias = npt.NDArray[np.bool_]

NO_TIME = np.iinfo(np.int64).min
"""Stands for the time of a frame that has none."""
PGN_COUNT = 1 << 18


def pgns_of(can_ids: Ints) -> Ints:
    """The parameter group numbers of 29-bit identifiers; the destination is not part of them."""
    groups = can_ids >> 8 & 0x3FFFF
    return np.where((groups >> 8 & 0xFF) >= 240, groups, groups & 0x3FF00)


@dataclass(frozen=True, slots=True)
class Batch:
    """Data frames with 29-bit identifiers, in the log's order.

    ``data`` has eight columns, zero beyond ``lengths``; ``times`` are microseconds, or ``NO_TIME``.
    """

    can_ids: Ints
    lengths: Ints
    data: Bytes
    times: Ints
    channels: Ints

    def __len__(self) -> int:
        """How many frames."""
        return len(self.can_ids)

    def chosen(self, which: Mask | Ints) -> "Batch":
        """The frames at these places."""
        return Batch(
            self.can_ids[which], self.lengths[which], self.data[which], self.times[which], self.channels[which]
        )


@dataclass(frozen=True, slots=True)
class Row:
    """One data frame with a 29-bit identifier."""

    can_id: int
    data: bytes
    time: int
    channel: int


def joined(*batches: Batch) -> Batch:
    """The frames of one batch after the other."""
    return Batch(
        np.concatenate([one.can_ids for one in batches]),
        np.concatenate([one.lengths for one in batches]),
        np.concatenate([one.data for one in batches]),
        np.concatenate([one.times for one in batches]),
        np.concatenate([one.channels for one in batches]),
    )


def batch_of(rows: Sequence[Row]) -> Batch:
    """Frames that were read one at a time, as columns."""
    data = np.zeros((len(rows), 8), np.uint8)
    for at, row in enumerate(rows):
        data[at, : len(row.data)] = np.frombuffer(row.data, np.uint8)
    return Batch(
        _column(row.can_id for row in rows),
        _column(len(row.data) for row in rows),
        data,
        _column(row.time for row in rows),
        _column(row.channel for row in rows),
    )


def _column(values: Iterable[int]) -> Ints:
    return np.fromiter(values, np.int64)
