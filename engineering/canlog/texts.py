"""Text logs read piece by piece into batches: lines of the usual shape many at once, the others one at a time."""

from collections.abc import Callable, Iterator

import numpy as np

from engineering.canlog.characters import FRONT, Text, Words
from engineering.canlog.findings import Found
from engineering.canlog.frames import NO_TIME, Batch, Ints, Mask, Row, batch_of, joined
from engineering.canlog.layouts import Layout
from engineering.canlog.shapes import Shape, Shaped, read_shape
from engineering.canlog.source import Source
from engineering.canlog.tally import Tally, line_place

_TRIAL_BYTES = 8 << 10


class TextLog:
    """One text log while it is read."""

    def __init__(self, layout: Layout, tally: Tally, is_wanted: Callable[[Ints], Mask]) -> None:
        """``is_wanted`` says of PGNs which are decoded."""
        self._layout, self._tally, self._is_wanted = layout, tally, is_wanted
        self._shape: Shape | None = None
        self._clock = 0

    def batches(self, source: Source) -> Iterator[Batch]:
        """The frames that are wanted; all else is counted."""
        for piece in source.whole_lines():
            if self._shape is None:
                self._shape = self._usual_shape(piece)
            text = Text(piece)
            reading = _Piece(piece, text)
            if self._shape is not None:
                reading.take_shaped(read_shape(text, self._shape), self._tally)
            if len(reading.odd) > len(text.line_starts) // 2:
                self._shape = None
            reading.take_found(self._layout.read([reading.line(at) for at in reading.odd.tolist()]))
            yield self._counted(reading)
            self._tally.lines += len(text.line_starts)

    def _usual_shape(self, piece: bytes) -> Shape | None:
        """The shape that most of the first lines have, if any has it."""
        end = piece.rfind(b"\n", 0, _TRIAL_BYTES) + 1
        text = Text(piece[:end] if end else piece)
        fits = [(len(read_shape(text, shape).lines), shape) for shape in self._layout.shapes]
        most, shape = max(fits, key=lambda fit: fit[0], default=(0, None))
        return shape if most else None

    def _counted(self, piece: "_Piece") -> Batch:
        """Count all that the piece has; the frames that are wanted come back."""
        tally = self._tally
        for one in piece.found:
            if one.damage:
                self._damage(one.damage, piece, one.at)
            elif one.cause:
                tally.other(one.cause)
            if one.time_is_unread:
                self._damage("time", piece, one.at)
        if piece.standard:
            tally.other("standard", piece.standard)
        lines, times = piece.all_times()
        if self._layout.times_are_steps:
            known = times != NO_TIME
            times[known] = self._clock + np.cumsum(times[known])
            self._clock = int(times[known][-1]) if known.any() else self._clock
        for step in tally.timeline.take(times).tolist():
            self._damage("time-back", piece, int(lines[step]))
        batch, places = piece.frames(tally)
        if self._layout.times_are_steps:
            batch.times[:] = times[np.searchsorted(lines, places)]
        return batch.chosen(self._is_wanted(tally.take(batch.can_ids)))

    def _damage(self, kind: str, piece: "_Piece", at: int) -> None:
        wanted = self._tally.wants_places(kind)
        self._tally.damage(kind, line_place(self._tally.lines + at + 1, piece.line(at)) if wanted else None)


class _Piece:
    """What the lines of one piece turned out to be."""

    def __init__(self, piece: bytes, text: Text) -> None:
        self._piece, self._text = piece, text
        self._is_odd = (text.token_counts > 0) | text.is_spoiled
        self._lines = np.zeros(0, np.int64)
        self._times = np.zeros(0, np.int64)
        self._batch: Batch | None = None
        self._batch_lines = np.zeros(0, np.int64)
        self.standard = 0
        self.found: list[Found] = []

    @property
    def odd(self) -> Ints:
        """The lines that have to be read one at a time."""
        return np.flatnonzero(self._is_odd)

    def line(self, at: int) -> bytes:
        """A line as it is written."""
        start = int(self._text.line_starts[at]) - FRONT
        return self._piece[start : self._piece.index(b"\n", start)]

    def take_shaped(self, shaped: Shaped, tally: Tally) -> None:
        """Take the lines that were read many at once."""
        self._is_odd[shaped.lines] = False
        self._lines, self._times = shaped.lines, shaped.times
        self.standard = int((~shaped.extended).sum())
        which = np.flatnonzero(shaped.extended) if self.standard else slice(None)
        self._batch_lines = shaped.lines[which]
        self._batch = Batch(
            shaped.can_ids[which],
            shaped.lengths[which],
            shaped.data[which],
            shaped.times[which],
            _numbers(shaped.channels, tally)[which],
        )

    def take_found(self, found: list[Found]) -> None:
        """Take what the odd lines turned out to be; ``at`` is then the line in the piece."""
        odd = self.odd
        self.found = [one.placed(int(odd[one.at])) for one in found]

    def all_times(self) -> tuple[Ints, Ints]:
        """The lines of all frames in order, and their times."""
        frames = [one for one in self.found if not one.damage]
        if not frames:
            return self._lines, self._times
        lines = np.concatenate((self._lines, [one.at for one in frames]))
        times = np.concatenate((self._times, [one.time for one in frames]))
        order = np.argsort(lines, kind="stable")
        return lines[order], times[order]

    def frames(self, tally: Tally) -> tuple[Batch, Ints]:
        """The data frames in order, and their lines."""
        found = [one for one in self.found if not one.damage and not one.cause]
        if self._batch is not None and not found:
            return self._batch, self._batch_lines
        rows = batch_of([Row(one.can_id, one.data, one.time, tally.channel(one.channel)) for one in found])
        lines = np.array([one.at for one in found], np.int64)
        if self._batch is None:
            return rows, lines
        lines = np.concatenate((self._batch_lines, lines))
        order = np.argsort(lines, kind="stable")
        return joined(self._batch, rows).chosen(order), lines[order]


def _numbers(names: Words, tally: Tally) -> Ints:
    """The numbers of channels that were read as words."""
    if not len(names):
        return np.zeros(0, np.int64)
    different = names[:1] if (names == names[0]).all() else np.unique(names)
    numbers = [tally.channel(_name(int(word))) for word in different.tolist()]
    return np.array(numbers, np.int64)[np.searchsorted(different, names)]


def _name(word: int) -> str:
    return word.to_bytes(8, "little").rstrip(b"\0").decode("utf-8", "replace")
