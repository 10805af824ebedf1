"""The entries within an unpacked block of a BLF log: runs of equal ones many at once, the others one at a time.

Source: the layout as python-can 4.6 reads it (can/io/blf.py), which is the reference in the tests.
"""

import struct
from collections.abc import Iterator

import numpy as np

from engineering.canlog.frames import Batch, Ints, Row, batch_of
from engineering.canlog.source import offset_place
from engineering.canlog.tally import Tally

MARK = b"LOBJ"
LARGEST = 4 << 20
"""Bytes of an entry or an unpacked block; blocks usually have 128 kB."""
BASE = struct.Struct("<4sHHLL")
_HEADER = struct.Struct("<LHHQ")
_MESSAGE = struct.Struct("<HBBL8s")
_WHOLE_HEADER = BASE.size + _HEADER.size
_WHOLE = _WHOLE_HEADER + _MESSAGE.size
_MESSAGES = (1, 86)
_OTHER_FRAMES = {2: "error", 73: "error", 100: "fd", 101: "fd"}
_LATEST_US = 1 << 60
_IN_TENS = 1
_REMOTE, _EXTENDED, _IDENTIFIER = 0x80, 0x80000000, 0x1FFFFFFF
_ENTRY = np.dtype(
    [
        ("mark", "S4"), ("header_size", "<u2"), ("version", "<u2"), ("size", "<u4"), ("kind", "<u4"),
        ("flags", "<u4"), ("client", "<u2"), ("object_version", "<u2"), ("stamp", "<u8"),
        ("channel", "<u2"), ("marks", "u1"), ("length", "u1"), ("can_id", "<u4"), ("data", "u1", (8,)),
    ]
)  # fmt: skip


class Entries:
    """Reads the entries of one block after the other."""

    def __init__(self, tally: Tally) -> None:
        """Nothing read."""
        self._tally = tally
        self._rows: list[Row | tuple[str, int]] = []
        self._batches: list[Batch] = []

    def batches(self) -> Iterator[Batch]:
        """The data frames read since the last time, in order."""
        self._end_rows()
        yield from self._batches
        self._batches = []

    def read(self, data: bytearray, offset: int) -> int:
        """Read the entries of a block that stands at ``offset`` in the file; how many bytes of it are done."""
        at = 0
        while at + _WHOLE_HEADER <= len(data):
            mark, header_size, _, size, kind = BASE.unpack_from(data, at)
            if mark != MARK or not _WHOLE_HEADER <= size <= LARGEST:
                self._tally.damage("object", offset_place(offset))
                at = data.find(MARK, at + 1)
                if at < 0:
                    return len(data) - 3
                continue
            if at + size > len(data):
                return at
            run = self._read_run(data, at, size) if kind in _MESSAGES else 0
            if not run:
                self._read_entry(data, at, header_size=header_size, size=size, kind=kind)
                run = size
            at += run
            while data[at : at + 1] == b"\0":
                at += 1
        return at

    def _read_run(self, data: bytearray, at: int, size: int) -> int:
        """Read the messages from here on that are alike in size and layout; how many bytes they take."""
        if size % 4 or not _WHOLE <= size <= 2 * _WHOLE:
            return 0
        most = (len(data) - at) // size
        entries = np.ndarray((most,), _ENTRY, data, at, (size,))
        alike = (
            (entries["mark"] == MARK)
            & (entries["size"] == size)
            & (entries["header_size"] == _WHOLE_HEADER)
            & np.isin(entries["kind"], _MESSAGES)
            & (entries["stamp"] < _LATEST_US // 10)
            & (entries["length"] <= 8)
        )
        count = most if alike.all() else int(alike.argmin())
        if count < 8:
            return 0
        self._take(entries[:count])
        return count * size

    def _take(self, entries: np.ndarray[tuple[int], np.dtype[np.void]]) -> None:
        self._end_rows()
        stamps = entries["stamp"].astype(np.int64)
        times = np.where(entries["flags"] == _IN_TENS, stamps * 10, (stamps + 500) // 1000)
        self._take_times(times)
        is_remote = entries["marks"] & _REMOTE != 0
        is_data = ~is_remote & (entries["can_id"] & _EXTENDED != 0)
        for cause, count in (("remote", int(is_remote.sum())), ("standard", int((~is_data & ~is_remote).sum()))):
            if count:
                self._tally.other(cause, count)
        frames = entries[is_data]
        lengths = frames["length"].astype(np.int64)
        content = frames["data"] * (np.arange(8) < lengths[:, None]).astype(np.uint8)
        can_ids = (frames["can_id"] & _IDENTIFIER).astype(np.int64)
        self._batches.append(Batch(can_ids, lengths, content, times[is_data], self._channels(frames["channel"])))

    def _channels(self, named: np.ndarray[tuple[int], np.dtype[np.uint16]]) -> Ints:
        different, places = np.unique(named, return_inverse=True)
        return np.array([self._tally.channel(str(one)) for one in different.tolist()], np.int64)[places]

    def _read_entry(self, data: bytearray, at: int, *, header_size: int, size: int, kind: int) -> None:
        flags, _, _, stamp = _HEADER.unpack_from(data, at + BASE.size)
        time = stamp * 10 if flags == _IN_TENS else (stamp + 500) // 1000
        body = at + max(header_size, _WHOLE_HEADER)
        if kind not in _MESSAGES and kind not in _OTHER_FRAMES:
            self._tally.damage("other-object", None)
        elif time >= _LATEST_US or (kind in _MESSAGES and body + _MESSAGE.size > at + size):
            self._tally.damage("object", None)
        elif kind in _OTHER_FRAMES:
            self._rows.append((_OTHER_FRAMES[kind], time))
        else:
            channel, marks, length, can_id, content = _MESSAGE.unpack_from(data, body)
            if marks & _REMOTE or not can_id & _EXTENDED:
                self._rows.append(("remote" if marks & _REMOTE else "standard", time))
                return
            number = self._tally.channel(str(channel))
            self._rows.append(Row(can_id & _IDENTIFIER, content[: min(length, 8)], time, number))

    def _end_rows(self) -> None:
        """Count what was read one at a time, so that a run comes after it."""
        rows, self._rows = self._rows, []
        if not rows:
            return
        self._take_times(np.fromiter((one.time if isinstance(one, Row) else one[1] for one in rows), np.int64))
        for one in rows:
            if not isinstance(one, Row):
                self._tally.other(one[0])
        self._batches.append(batch_of([one for one in rows if isinstance(one, Row)]))

    def _take_times(self, times: Ints) -> None:
        back = self._tally.timeline.take(times)
        if len(back):
            self._tally.damage("time-back", None, len(back))
