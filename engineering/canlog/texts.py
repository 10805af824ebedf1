"""Text logs read piece by piece into batches."""

from collections.abc import Callable, Iterator

import numpy as np

from engineering.canlog.findings import Found
from engineering.canlog.frames import NO_TIME, Batch, Ints, Mask, Row, batch_of
from engineering.canlog.layouts import Layout
from engineering.canlog.source import Source
from engineering.canlog.tally import Tally, line_place


class TextLog:
    """One text log while it is read."""

    def __init__(self, layout: Layout, tally: Tally, is_wanted: Callable[[Ints], Mask]) -> None:
        """``is_wanted`` says of PGNs which are decoded."""
        self._layout, self._tally, self._is_wanted = layout, tally, is_wanted
        self._clock = 0

    def batches(self, source: Source) -> Iterator[Batch]:
        """The frames that are wanted; all else is counted."""
        for piece in source.whole_lines():
            lines = piece.split(b"\n")
            lines.pop()
            yield self._read(lines)
            self._tally.lines += len(lines)

    def _read(self, lines: list[bytes]) -> Batch:
        found = self._layout.read(lines)
        rows: list[Row] = []
        times: list[int] = []
        places: list[int] = []
        for one in found:
            if one.damage:
                self._damage(one.damage, one.at, lines)
                continue
            times.append(self._time(one, lines))
            places.append(one.at)
            if one.cause:
                self._tally.other(one.cause)
            else:
                rows.append(Row(one.can_id, one.data, times[-1], self._tally.channel(one.channel)))
        for step in self._tally.timeline.take(np.fromiter(times, np.int64)).tolist():
            self._damage("time-back", places[step], lines)
        batch = batch_of(rows)
        return batch.chosen(self._is_wanted(self._tally.take(batch.can_ids)))

    def _time(self, one: Found, lines: list[bytes]) -> int:
        if one.time == NO_TIME:
            return one.time
        if self._layout.times_are_steps:
            self._clock += one.time
            return self._clock
        return one.time

    def _damage(self, kind: str, at: int, lines: list[bytes]) -> None:
        wanted = self._tally.wants_places(kind)
        self._tally.damage(kind, line_place(self._tally.lines + at + 1, lines[at]) if wanted else None)
