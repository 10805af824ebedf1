"""The times of a log: what they count from, how long it lasts, and where they run back."""

from datetime import UTC, datetime, timedelta
from decimal import Decimal

import numpy as np

from engineering.canlog.frames import NO_TIME, Ints
from engineering.canlog.summary import Clock

_EPOCH_FROM = 100_000_000 * 1_000_000
"""Times from March 1973 on are taken as counted from 1970, those below as relative."""
_LATEST = 253_402_300_799 * 1_000_000


class Timeline:
    """Takes the times of all frames in order, batch by batch. Times are whole microseconds."""

    def __init__(self) -> None:
        """No frame seen."""
        self.clock: Clock | None = None
        self.start: datetime | None = None
        """For local clocks: the wall-clock time that the file's times count from, without a zone."""
        self.first = self.last = NO_TIME
        self._earliest = self._latest = NO_TIME
        self._gap = 0
        self.backward_steps = 0

    def take(self, times: Ints) -> Ints:
        """Take the times of frames in order; the places of those that are earlier than the one before come back."""
        known = times[times != NO_TIME] if len(times) and times.min() == NO_TIME else times
        if not len(known):
            return np.zeros(0, np.int64)
        before = self.last if self.last != NO_TIME else int(known[0])
        steps = np.diff(known, prepend=before)
        back = np.flatnonzero(steps < 0)
        self.backward_steps += len(back)
        self._gap = max(self._gap, int(steps.max()))
        if self.first == NO_TIME:
            self.first = self._earliest = self._latest = int(known[0])
        self._earliest = min(self._earliest, int(known.min()))
        self._latest = max(self._latest, int(known.max()))
        self.last = int(known[-1])
        return back

    def finish(self) -> Clock:
        """What the times count from, once all frames are taken."""
        if self.first == NO_TIME:
            self.clock = Clock.NONE
        elif self.clock is None:
            self.clock = Clock.UTC if self.first >= _EPOCH_FROM else Clock.RELATIVE
        return self.clock

    def since_start(self, time: int) -> Decimal | None:
        """Seconds from the log's first frame, to the microsecond."""
        return None if NO_TIME in (time, self.first) else Decimal(time - self.first).scaleb(-6)

    def moment(self, time: int) -> datetime | None:
        """The date and time of a time, aware in UTC or naive as the clock has it; None where it cannot be known."""
        if time == NO_TIME:
            return None
        if self.clock is Clock.UTC and 0 <= time <= _LATEST:
            return datetime.fromtimestamp(0, UTC) + timedelta(microseconds=time)
        if self.clock is Clock.LOCAL and self.start is not None:
            try:
                return self.start + timedelta(microseconds=time)
            except OverflowError:
                return None
        return None

    def seconds(self) -> Decimal | None:
        """From the earliest frame to the latest."""
        return None if self.first == NO_TIME else Decimal(self._latest - self._earliest).scaleb(-6)

    def largest_gap(self) -> Decimal | None:
        """The longest time between a frame and the next."""
        return None if self.first == NO_TIME else Decimal(self._gap).scaleb(-6)
