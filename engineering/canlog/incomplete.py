"""Messages that were begun and could not be read, by sender and PGN, and whether one that was read came after them.

What was heard last counts: a message that says "no code" proves nothing of what was begun after it.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field

from engineering.canlog.leftovers import name_of
from engineering.canlog.summary import IncompleteSpan
from engineering.codes import Code, CodeSystem
from engineering.codes.dm import DM_NAMES, read_dm
from engineering.codes.transport import Lost

UNKNOWN = -1
"""Stands for the PGN of packets whose announcement is missing, and for an instance that no frame told."""
_MOST_KEPT_APART, _MOST_CODES = 4096, 20
_LAMPS_AND_ONE_CODE = 6

Key = tuple[int, int, int, int]
"""Channel, source address, PGN and instance."""


@dataclass(slots=True)
class _Heard:
    read: int = 0
    read_at: int = 0
    """The place in the log of the newest message that was read; 0 for none."""
    incomplete: int = 0
    lost_at: int = 0
    most_codes: int = 0
    codes: dict[str, Code] = field(default_factory=dict)
    lamps: dict[str, None] = field(default_factory=dict)


class Incomplete:
    """Counts what was read and what was not. A place is a number that grows with the log, from 1."""

    def __init__(self) -> None:
        """Nothing heard."""
        self._heard: dict[Key, _Heard] = {}

    def take_read(self, key: Key, place: int) -> None:
        """A message of this key was whole and was read."""
        heard = self._of(key)
        if heard is not None:
            heard.read += 1
            heard.read_at = place

    def take_lost(self, key: Key, place: int) -> _Heard:
        """A message of this key, heard last at this place, could not be read; that may be told late."""
        heard = self._of(key) or self._heard.setdefault((*key[:2], UNKNOWN, UNKNOWN), _Heard())
        heard.incomplete += 1
        heard.lost_at = max(heard.lost_at, place)
        return heard

    def take_lost_packets(self, channel: int, lost: Lost) -> None:
        """A message in packets was never complete; it counts where it is one that would have been read."""
        if lost.pgn not in DM_NAMES:
            return
        heard = self.take_lost((channel, lost.source, lost.pgn, UNKNOWN), lost.lines[-1])
        heard.most_codes = max(heard.most_codes, (lost.size - 2) // 4)
        if len(lost.begins) < _LAMPS_AND_ONE_CODE:
            return
        read = read_dm(lost.pgn, lost.begins[: 2 + (len(lost.begins) - 2) // 4 * 4])
        heard.lamps |= {lamp.name: None for lamp in read.lamps if lamp.state == "on"}
        for dtc in read.dtcs:
            if dtc.spn is not None and len(heard.codes) < _MOST_CODES:
                heard.codes.setdefault(dtc.text, Code(CodeSystem.SPN, dtc.text))

    def _of(self, key: Key) -> _Heard | None:
        heard = self._heard.get(key)
        if heard is None and len(self._heard) < _MOST_KEPT_APART:
            heard = self._heard[key] = _Heard()
        return heard

    def spans(self, channels: tuple[str, ...]) -> Iterator[IncompleteSpan]:
        """What could not be read, in order of sender, PGN and instance."""
        for key, heard in sorted(self._heard.items(), key=lambda item: item[0]):
            if not heard.incomplete:
                continue
            channel, source, pgn, instance = key
            read, read_at = self._read(key)
            yield IncompleteSpan(
                channels[channel],
                source,
                None if pgn == UNKNOWN else pgn,
                None if instance == UNKNOWN else instance,
                "" if pgn == UNKNOWN else DM_NAMES[pgn][0] if pgn in DM_NAMES else name_of(pgn),
                heard.incomplete,
                heard.lost_at > read_at,
                read,
                heard.most_codes,
                tuple(heard.codes.values()),
                tuple(heard.lamps),
            )

    def _read(self, key: Key) -> tuple[int, int]:
        """How many messages were read that what is lost may have been one of, and the place that counts as the last.

        Where it is not known of which instance it was, that of the instance that was read the longest ago.
        """
        channel, source, pgn, instance = key
        if UNKNOWN not in (pgn, instance):
            return self._heard[key].read, self._heard[key].read_at
        fitting = [
            one
            for (of_channel, of_source, of_pgn, _), one in self._heard.items()
            if (of_channel, of_source) == (channel, source) and one.read and pgn in (UNKNOWN, of_pgn)
        ]
        last = max if pgn == UNKNOWN else min
        return sum(one.read for one in fitting), last((one.read_at for one in fitting), default=0)
