"""BLF logs: packed blocks of entries, read past damage.

Source: the layout as python-can 4.6 reads it (can/io/blf.py), which is the reference in the tests.
"""

import struct
import zlib
from collections.abc import Callable, Iterator
from datetime import datetime

from engineering.canlog.blf_entries import BASE, LARGEST, MARK, Entries
from engineering.canlog.frames import Batch, Ints, Mask, joined
from engineering.canlog.source import Source, offset_place
from engineering.canlog.summary import Clock, LogProblem
from engineering.canlog.tally import Tally

_FILE = struct.Struct("<4sLBBBBBBBBQQLL8H8H")
_CONTAINER = struct.Struct("<H6xL4x")
_PACKED = 10
_AT_ONCE = 32 << 10
"""Frames put together before they are decoded."""


class BlfLog:
    """One BLF log while it is read."""

    def __init__(self, tally: Tally, is_wanted: Callable[[Ints], Mask]) -> None:
        """``is_wanted`` says of PGNs which are decoded."""
        self._tally, self._is_wanted = tally, is_wanted
        self._entries = Entries(tally)

    def batches(self, source: Source) -> Iterator[Batch]:
        """The frames that are wanted; all else is counted."""
        self._read_file_header(source)
        rest = bytearray()
        held: list[Batch] = []
        for offset, block in self._blocks(source):
            rest += block
            del rest[: self._entries.read(rest, offset)]
            held += self._entries.batches()
            if sum(map(len, held)) >= _AT_ONCE:
                yield self._wanted(held)
                held = []
        if held:
            yield self._wanted(held)
        if rest.strip(b"\0"):
            self._tally.damage("cut-off", offset_place(source.bytes_read))

    def _wanted(self, batches: list[Batch]) -> Batch:
        batch = joined(*batches)
        return batch.chosen(self._is_wanted(self._tally.take(batch.can_ids)))

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
        while True:
            start = source.bytes_read
            head = source.read(BASE.size)
            if len(head) < BASE.size:
                if head.strip(b"\0"):
                    self._tally.damage("cut-off", offset_place(start))
                return
            _, _, _, size, kind = BASE.unpack(head)
            if not _is_possible(head, 0):
                self._tally.damage("object", offset_place(start))
                source.put_back(head[1:])
                _search(source)
                continue
            body = source.read(size - BASE.size)
            if len(body) < size - BASE.size:
                self._tally.damage("cut-off", offset_place(start))
            padding = source.read(size % 4)
            if padding.strip(b"\0"):
                source.put_back(padding)
            yield start, self._unpacked(body, start) if kind == _PACKED else head + body

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
            unpacked = unpacking.decompress(packed, LARGEST)
        except zlib.error:
            unpacked = _readable_part(packed)
        if not unpacking.eof:
            self._tally.damage("container", offset_place(start))
        return unpacked


def _search(source: Source) -> None:
    """Pass over everything before the next entry of a possible size."""
    held = b""
    while more := source.read(64 << 10):
        held += more
        place = held.find(MARK)
        while 0 <= place <= len(held) - BASE.size:
            if _is_possible(held, place):
                source.put_back(held[place:])
                return
            place = held.find(MARK, place + 1)
        held = held[place if place >= 0 else -3 :]


def _is_possible(held: bytes, place: int) -> bool:
    mark, _, _, size, _ = BASE.unpack_from(held, place)
    return bool(mark == MARK and BASE.size <= size <= LARGEST)


def _readable_part(packed: bytes) -> bytes:
    """What can be unpacked of a damaged block before the damage, in small steps."""
    unpacking, parts = zlib.decompressobj(), []
    try:
        for start in range(0, len(packed), 256):
            parts.append(unpacking.decompress(packed[start : start + 256], LARGEST))
    except zlib.error:
        pass
    return b"".join(parts)[:LARGEST]
