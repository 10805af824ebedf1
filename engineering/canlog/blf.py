"""BLF logs: packed blocks of entries, read past damage.

Source: the layout as python-can 4.6 reads it (can/io/blf.py), which is the reference in the tests.
"""

import struct
import zlib
from collections.abc import Callable, Iterator
from datetime import datetime

import numpy as np

from engineering.canlog.frames import Batch, Ints, Mask, Row, batch_of
from engineering.canlog.source import Source, offset_place
from engineering.canlog.summary import Clock, LogProblem
from engineering.canlog.tally import Tally

_FILE = struct.Struct("<4sLBBBBBBBBQQLL8H8H")
_BASE = struct.Struct("<4sHHLL")
_HEADER = struct.Struct("<LHHQ")
_CONTAINER = struct.Struct("<H6xL4x")
_MESSAGE = struct.Struct("<HBBL8s")
_MESSAGES, _PACKED = (1, 86), 10
_OTHER_FRAMES = {2: "error", 73: "error", 100: "fd", 101: "fd"}
_LATEST_US = 1 << 60
_LARGEST = 16 << 20
_MARK = b"LOBJ"


class BlfLog:
    """One BLF log while it is read."""

    def __init__(self, tally: Tally, is_wanted: Callable[[Ints], Mask]) -> None:
        """``is_wanted`` says of PGNs which are decoded."""
        self._tally, self._is_wanted = tally, is_wanted

    def batches(self, source: Source) -> Iterator[Batch]:
        """The frames that are wanted; all else is counted."""
        self._read_file_header(source)
        rest = b""
        for offset, block in self._blocks(source):
            rows, rest = self._rows(rest + block, offset)
            yield self._batch(rows)
        if rest.strip(b"\0"):
            self._tally.damage("cut-off", offset_place(source.bytes_read))

    def _read_file_header(self, source: Source) -> None:
        head = source.read(_FILE.size)
        if len(head) < _FILE.size:
            raise LogProblem("This BLF file ends within its header: nothing in it can be read.")
        fields = _FILE.unpack(head)
        source.read(min(max(fields[1] - _FILE.size, 0), 4096))
        self._tally.timeline.clock = Clock.RELATIVE
        year, month, _, day, hour, minute, second, thousandths = fields[14:22]
        try:
            start = datetime(year, month, day, hour, minute, second, thousandths * 1000)
        except ValueError:
            return
        self._tally.timeline.clock, self._tally.timeline.start = Clock.LOCAL, start

    def _blocks(self, source: Source) -> Iterator[tuple[int, bytes]]:
        """The unpacked blocks, each with its place in the file."""
        held = b""
        while True:
            held += source.read(max(0, _BASE.size - len(held)))
            start = source.bytes_read - len(held)
            if len(held) < _BASE.size:
                if held.strip(b"\0"):
                    self._tally.damage("cut-off", offset_place(start))
                return
            mark, _, _, size, kind = _BASE.unpack(held[: _BASE.size])
            if mark != _MARK or not _BASE.size <= size <= _LARGEST:
                held = self._search(source, held, start)
                continue
            body = held[_BASE.size :] + source.read(max(0, size - len(held)))
            held = b""
            if len(body) < size - _BASE.size:
                self._tally.damage("cut-off", offset_place(start))
            padding = source.read(size % 4)
            if padding.strip(b"\0"):
                held = padding
            if kind == _PACKED:
                yield start, self._unpacked(body, start)
            else:
                yield start, _BASE.pack(mark, *struct.unpack("<HH", b"\0\0\0\0"), size, kind) + body

    def _search(self, source: Source, held: bytes, start: int) -> bytes:
        """The bytes from the next mark on; what lies between is damage."""
        self._tally.damage("object", offset_place(start))
        held = held[1:]
        while True:
            place = held.find(_MARK)
            if place >= 0:
                return held[place:]
            more = source.read(64 << 10)
            if not more:
                return b""
            held = held[-3:] + more

    def _unpacked(self, body: bytes, start: int) -> bytes:
        if len(body) < _CONTAINER.size:
            self._tally.damage("container", offset_place(start))
            return b""
        method, _ = _CONTAINER.unpack_from(body)
        packed = body[_CONTAINER.size :]
        if method == 0:
            return packed
        if method != 2:
            self._tally.damage("container", offset_place(start))
            return b""
        unpacking = zlib.decompressobj()
        try:
            return unpacking.decompress(packed, _LARGEST)
        except zlib.error:
            self._tally.damage("container", offset_place(start))
            return _readable_part(packed)

    def _rows(self, data: bytes, offset: int) -> tuple[list[Row | tuple[str, int]], bytes]:
        """The frames of a block, and what is left of it for the next one."""
        rows: list[Row | tuple[str, int]] = []
        at = 0
        while at + _BASE.size + _HEADER.size <= len(data):
            mark, header_size, _, size, kind = _BASE.unpack_from(data, at)
            if mark != _MARK or size < _BASE.size + _HEADER.size or size > _LARGEST:
                self._tally.damage("object", offset_place(offset))
                at = data.find(_MARK, at + 1)
                if at < 0:
                    return rows, data[-3:]
                continue
            if at + size > len(data):
                break
            row = self._entry(data, at, header_size=header_size, size=size, kind=kind)
            if row is not None:
                rows.append(row)
            at += size
            while data[at : at + 1] == b"\0":
                at += 1
        return rows, data[at:]

    def _entry(self, data: bytes, at: int, *, header_size: int, size: int, kind: int) -> Row | tuple[str, int] | None:
        flags, _, _, stamp = _HEADER.unpack_from(data, at + _BASE.size)
        time = stamp * 10 if flags == 1 else (stamp + 500) // 1000
        body = at + max(header_size, _BASE.size + _HEADER.size)
        if kind not in _MESSAGES and kind not in _OTHER_FRAMES:
            self._tally.damage("other-object", None)
        elif time >= _LATEST_US or (kind in _MESSAGES and body + _MESSAGE.size > at + size):
            self._tally.damage("object", None)
        elif kind in _OTHER_FRAMES:
            return _OTHER_FRAMES[kind], time
        else:
            channel, marks, length, can_id, content = _MESSAGE.unpack_from(data, body)
            if marks & 0x80 or not can_id & 0x80000000:
                return "remote" if marks & 0x80 else "standard", time
            return Row(can_id & 0x1FFFFFFF, content[: min(length, 8)], time, self._tally.channel(str(channel)))
        return None

    def _batch(self, found: list[Row | tuple[str, int]]) -> Batch:
        rows = [one for one in found if isinstance(one, Row)]
        times = (one.time if isinstance(one, Row) else one[1] for one in found)
        back = self._tally.timeline.take(np.fromiter(times, np.int64))
        if len(back):
            self._tally.damage("time-back", None, len(back))
        for one in found:
            if not isinstance(one, Row):
                self._tally.other(one[0])
        batch = batch_of(rows)
        return batch.chosen(self._is_wanted(self._tally.take(batch.can_ids)))


def _readable_part(packed: bytes) -> bytes:
    """What can be unpacked of a damaged block before the damage, in small steps."""
    unpacking, parts = zlib.decompressobj(), []
    try:
        for start in range(0, len(packed), 256):
            parts.append(unpacking.decompress(packed[start : start + 256]))
    except zlib.error:
        pass
    return b"".join(parts)[:_LARGEST]
