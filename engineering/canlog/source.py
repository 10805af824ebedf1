"""The bytes of a log as they come: counted, in pieces, with word of the progress."""

from codecs import BOM_UTF8
from collections.abc import Callable, Iterator
from typing import BinaryIO

from engineering.canlog.summary import Place, Progress
from engineering.canlog.tally import Tally, line_place

PIECE = 2 << 20
"""Bytes read at once."""
_LONGEST_LINE = 64 << 10


class Source:
    """A stream with the bytes that were looked at to know the format still in front."""

    def __init__(
        self, stream: BinaryIO, size: int | None, tally: Tally, on_progress: Callable[[Progress], None] | None
    ) -> None:
        """Nothing read yet but a byte order mark, where there is one."""
        self._stream, self._size, self._tally, self._on_progress = stream, size, tally, on_progress
        self._ahead = b""
        self.bytes_read = 0
        if self.peek(len(BOM_UTF8)) == BOM_UTF8:
            self.bytes_read, self._ahead = len(BOM_UTF8), b""
        self._told = 0

    def peek(self, count: int) -> bytes:
        """The first bytes, which a later read gives again."""
        while len(self._ahead) < count:
            more = self._stream.read(count - len(self._ahead))
            if not more:
                break
            self._ahead += more
        return self._ahead[:count]

    def read(self, count: int) -> bytes:
        """At most so many bytes; empty at the end."""
        taken, self._ahead = self._ahead[:count], self._ahead[count:]
        if len(taken) < count:
            taken += self._stream.read(count - len(taken)) or b""
        self.bytes_read += len(taken)
        if self.bytes_read >= self._told + PIECE or not taken:
            self._told = self.bytes_read
            self._tell()
        return taken

    def put_back(self, taken: bytes) -> None:
        """Let the next read give these bytes again, which were read last."""
        self._ahead = taken + self._ahead
        self.bytes_read -= len(taken)

    def _tell(self) -> None:
        if self._on_progress is not None:
            self._on_progress(Progress(self.bytes_read, self._size, self._tally.frames))

    def whole_lines(self) -> Iterator[bytes]:
        """Pieces of whole lines, each ending with a line feed. A line without an end in sight is passed over."""
        rest = b""
        while piece := self.read(PIECE):
            if b"\n" not in piece and b"\r" in piece:
                piece = piece.replace(b"\r", b"\n")
            end = piece.rfind(b"\n") + 1
            if end:
                yield rest + piece[:end]
                rest = piece[end:]
            else:
                rest += piece
            if len(rest) > _LONGEST_LINE:
                yield from self._pass_over(rest)
                rest = b""
        if rest:
            yield rest + b"\n"

    def _pass_over(self, rest: bytes) -> Iterator[bytes]:
        """Read on until the line ends, and give what follows it."""
        self._tally.lines += 1
        self._tally.damage("long-line", line_place(self._tally.lines, rest))
        while piece := self.read(PIECE):
            end = piece.find(b"\n") + 1
            if end:
                last = piece.rfind(b"\n") + 1
                if last > end:
                    yield piece[end:last]
                self.put_back(piece[last:])
                return


def offset_place(offset: int) -> Place:
    """A place in a binary file."""
    return Place(None, offset, "")
