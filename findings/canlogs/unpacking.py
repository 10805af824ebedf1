"""Summing up a log as it lies on the disk: packed with gzip or not, whole or cut off. Knows no Django."""

from __future__ import annotations

import io
import zlib
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import BinaryIO

from engineering.canlog import Damage, LogSummary, Progress, summarize

PIECE = 256 * 1024
SMALL = 64
GZIP = b"\x1f\x8b"
_GZIP_WINDOW = 31
MOST_TIMES = 100  # a log of plain lines packs to a tenth, one of a silent bus to a fiftieth
ALWAYS = 64 * 1024 * 1024
CUT = "The packed file ends too early: it was cut off, or not copied completely. The rest is missing."
TOO_MUCH = "The packed file unpacks to far more than any log has. Only its first part is read."
BROKEN = "The packed file is damaged. What comes after the damage cannot be unpacked."


def summarize_file(path: Path, *, name: str, size: int, on_progress: Callable[[Progress], None]) -> LogSummary:
    """What a log says. The progress counts bytes of the file as it lies on the disk.

    Raises:
        LogProblem: the file is no CAN log.
    """
    with path.open("rb") as file:
        is_packed = file.read(len(GZIP)) == GZIP
        file.seek(0)
        if not is_packed:
            return summarize(file, name=name, size=size, on_progress=on_progress)

        def tell(progress: Progress) -> None:
            on_progress(Progress(file.tell(), size, progress.frames))

        unpacked = Unpacked(file)
        summary = summarize(unpacked, name=name, on_progress=tell)
    if unpacked.damage is None:
        return summary
    return replace(summary, damages=(*summary.damages, unpacked.damage))


class Unpacked(io.BufferedIOBase, BinaryIO):
    """A gzip stream, or several one after the other, that gives all that comes before a damage, and says which."""

    def __init__(self, file: BinaryIO) -> None:
        self._file = file
        self._member = zlib.decompressobj(_GZIP_WINDOW)
        self._rest = b""
        self._has_ended = False
        self._packed_bytes = self._unpacked_bytes = 0
        self.damage: Damage | None = None

    def read(self, size: int | None = -1, /) -> bytes:
        """At most so many unpacked bytes, all of them without a number; empty at the end."""
        pieces = []
        wanted = -1 if size is None else size
        while wanted and not self._has_ended:
            piece = self._unpack(PIECE if wanted < 0 else wanted)
            wanted -= len(piece) if wanted > 0 else 0
            pieces.append(piece)
        return b"".join(pieces)

    def _unpack(self, most: int) -> bytes:
        packed = self._rest or self._more()
        self._rest = b""
        if not packed:
            self._has_ended = True
            if not self._member.eof:
                self.damage = Damage("gzip-cut", CUT, 1, ())
            return b""
        before = self._member.copy()
        try:
            piece = self._member.decompress(packed, most)
        except zlib.error:
            self._has_ended = True
            self.damage = Damage("gzip-broken", BROKEN, 1, ())
            return _until_it_breaks(before, packed)
        self._unpacked_bytes += len(piece)
        if self._unpacked_bytes > max(ALWAYS, MOST_TIMES * self._packed_bytes):
            self._has_ended = True
            self.damage = Damage("gzip-too-much", TOO_MUCH, 1, ())
            return piece
        self._rest = self._member.unconsumed_tail
        if self._member.eof:
            self._begin_next_member()
        return piece

    def _more(self) -> bytes:
        packed = self._file.read(PIECE)
        self._packed_bytes += len(packed)
        return packed

    def _begin_next_member(self) -> None:
        """Go on behind the end of a stream; zeros that only fill up the file are no stream."""
        following = (self._member.unused_data or self._more()).lstrip(b"\0")
        if not following:
            self._has_ended = True
            return
        self._member = zlib.decompressobj(_GZIP_WINDOW)
        self._rest = following


def _until_it_breaks(member: zlib._Decompress, packed: bytes) -> bytes:
    """What a damaged piece holds before its damage."""
    pieces = []
    for start in range(0, len(packed), SMALL):
        try:
            pieces.append(member.decompress(packed[start : start + SMALL]))
        except zlib.error:
            break
    return b"".join(pieces)
