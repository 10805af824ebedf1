"""What is kept of each parameter, status bit and gear of one sender and instance while the log goes by."""

from dataclasses import dataclass, field

import numpy as np

from engineering.canlog.counting import counts_for
from engineering.canlog.frames import NO_TIME, Ints, Mask
from engineering.canlog.groups import Bits, Field, Group, Sentinels, StatusBits
from engineering.canlog.lookups import GEARS
from engineering.canlog.summary import ParameterSpan, StatusSpan
from engineering.canlog.times import Timeline


@dataclass(frozen=True, slots=True)
class Sender:
    """Who sent: the channel's name, the source address, and the instance and kind that the message carries."""

    channel: str
    source: int
    instance: int | None = None
    kind: str = ""


class Seen:
    """The times of the first and the last message that something was in."""

    __slots__ = ("first", "last")

    def __init__(self) -> None:
        """Seen in no message yet."""
        self.first = self.last = NO_TIME

    def take(self, time: int) -> None:
        """Seen again."""
        if self.first == NO_TIME:
            self.first = time
        if time != NO_TIME:
            self.last = time

    def take_all(self, times: Ints) -> None:
        """Seen again in messages of these times, at least one."""
        if NO_TIME in (times[0], times[-1]):
            times = times[times != NO_TIME]
        if len(times):
            self.take(int(times[0]))
            self.take(int(times[-1]))


def _special(raw: Ints, bits: Bits, sentinels: Sentinels) -> tuple[Ints, Ints, Ints]:
    """Which values say not available, in error, and reserved: as 1 or 0 for each."""
    if sentinels is Sentinels.TOP_BYTE:
        top = raw >> bits.width - 8
        return _ones(top == 0xFF), _ones(top == 0xFE), _ones((top >= 0xFB) & (top <= 0xFD))
    highest = (1 << bits.width - 1) - 1 if bits.signed else (1 << bits.width) - 1
    reserved = raw == highest - 2 if bits.width > 7 else np.zeros(len(raw), np.bool_)
    return _ones(raw == highest), _ones(raw == highest - 1), _ones(reserved)


def _ones(mask: Mask) -> Ints:
    return mask.astype(np.int64)


class ParameterTrack:
    """One parameter of one sender and instance."""

    def __init__(self, what: Field, sentinels: Sentinels) -> None:
        """Nothing seen yet."""
        self._field = what
        self._sentinels = sentinels
        self._counts = counts_for(what.bits.width, signed=what.bits.signed)
        self._seen = Seen()
        self._count = self._not_available = self._in_error = self._reserved = 0
        self._first = self._last = self._lowest = self._highest = 0

    def take(self, raw: Ints, times: Ints) -> None:
        """Take the raw values of a batch, in order."""
        not_available, in_error, reserved = _special(raw, self._field.bits, self._sentinels)
        self._not_available += int(not_available.sum())
        self._in_error += int(in_error.sum())
        self._reserved += int(reserved.sum())
        sent = (not_available + in_error + reserved) == 0
        values, when = raw[sent], times[sent]
        if not len(values):
            return
        lowest, highest = int(values.min()), int(values.max())
        if not self._count:
            self._first, self._lowest, self._highest = int(values[0]), lowest, highest
        self._last = int(values[-1])
        self._lowest, self._highest = min(self._lowest, lowest), max(self._highest, highest)
        self._count += len(values)
        self._counts.add(values)
        self._seen.take_all(when)

    def span(self, pgn: int, sender: Sender, timeline: Timeline) -> ParameterSpan:
        """What was seen."""
        value = self._field.value
        median, off = self._counts.median() if self._count else (0, 0)
        median = min(max(median, self._lowest), self._highest)
        return ParameterSpan(
            pgn,
            self._field.key,
            self._field.label,
            self._field.unit,
            sender.channel,
            sender.source,
            sender.instance,
            sender.kind,
            self._count,
            value(self._first) if self._count else None,
            value(self._last) if self._count else None,
            value(self._lowest) if self._count else None,
            value(self._highest) if self._count else None,
            value(median) if self._count else None,
            off * self._field.resolution,
            self._not_available,
            self._in_error,
            self._reserved,
            timeline.since_start(self._seen.first),
            timeline.since_start(self._seen.last),
        )


@dataclass(slots=True)
class _Bit:
    """A status bit or gear that has been on."""

    key: str
    words: str
    messages: int = 0
    on_at_end: bool = False
    seen: Seen = field(default_factory=Seen)

    def take(self, on: Mask, times: Ints) -> None:
        self.on_at_end = bool(on[-1])
        places = np.flatnonzero(on)
        if len(places):
            self.messages += len(places)
            self.seen.take_all(times[places])


class StatusTrack:
    """The status bits of one field, or the gears, of one sender and instance."""

    def __init__(self, status: StatusBits | None) -> None:
        """Of a field of bits, or with None of the gear."""
        self._status = status
        self._of_messages = 0
        self._bits = [_Bit(f"gear-{gear}", f"gear: {gear}") for gear in GEARS] if status is None else _bits(status)

    def take(self, raw: Ints, times: Ints) -> None:
        """Take the raw values of a batch, in order; all ones says nothing."""
        known = raw != (len(GEARS) if self._status is None else self._status.status.not_available)
        raw, times = raw[known], times[known]
        if not len(raw):
            return
        self._of_messages += len(raw)
        for place, bit in enumerate(self._bits):
            bit.take((raw == place) if self._status is None else (raw >> place & 1).astype(np.bool_), times)

    def spans(self, pgn: int, sender: Sender, timeline: Timeline) -> list[StatusSpan]:
        """The bits that were on in at least one message."""
        return [
            StatusSpan(
                pgn,
                bit.key,
                bit.words,
                sender.channel,
                sender.source,
                sender.instance,
                bit.messages,
                self._of_messages,
                bit.on_at_end,
                timeline.since_start(bit.seen.first),
                timeline.since_start(bit.seen.last),
            )
            for bit in self._bits
            if bit.messages
        ]


def _bits(status: StatusBits) -> list[_Bit]:
    from engineering.codes.network_status import bits_set

    singles = (bits_set(1 << place, status.status)[0] for place in range(status.status.width))
    return [_Bit(bit.key, bit.words) for bit in singles]


class GroupTrack:
    """All that one group says of one sender and instance."""

    def __init__(self, group: Group) -> None:
        """Nothing seen yet."""
        self._group = group
        self._parameters = [ParameterTrack(one, group.sentinels) for one in group.fields]
        self._statuses = [(one.bits, StatusTrack(one)) for one in group.statuses]
        if group.gear:
            self._statuses.append((group.gear, StatusTrack(None)))

    def take(self, messages: "Messages") -> None:
        """Take the messages of a batch, in order."""
        for what, track in zip(self._group.fields, self._parameters, strict=True):
            _take_field(messages, what.bits, track)
        for bits, status in self._statuses:
            _take_field(messages, bits, status)

    def parameters(self, sender: Sender, timeline: Timeline) -> list[ParameterSpan]:
        """What was seen of each parameter."""
        return [track.span(self._group.pgn, sender, timeline) for track in self._parameters]

    def statuses(self, sender: Sender, timeline: Timeline) -> list[StatusSpan]:
        """What was seen of status bits and gears."""
        return [span for _, track in self._statuses for span in track.spans(self._group.pgn, sender, timeline)]


@dataclass(frozen=True, slots=True)
class Messages:
    """Whole messages of one group: as many columns of bytes as the longest has."""

    data: np.ndarray[tuple[int, ...], np.dtype[np.uint8]]
    lengths: Ints
    times: Ints

    def chosen(self, which: Mask | Ints) -> "Messages":
        """The messages at these places."""
        return Messages(self.data[which], self.lengths[which], self.times[which])

    def raw(self, bits: Bits) -> Ints:
        """The integers in these bits, low byte first; meaningless where the message is too short."""
        first, last = bits.start // 8, (bits.end - 1) // 8
        whole = np.zeros(len(self.data), np.int64)
        for place in range(first, last + 1):
            whole |= self.data[:, place].astype(np.int64) << 8 * (place - first)
        raw = whole >> bits.start % 8 & (1 << bits.width) - 1
        return (raw ^ 1 << bits.width - 1) - (1 << bits.width - 1) if bits.signed else raw


def _take_field(messages: Messages, bits: Bits, track: ParameterTrack | StatusTrack) -> None:
    raw, times = messages.raw(bits), messages.times
    whole = messages.lengths * 8 >= bits.end
    if not whole.all():
        raw, times = raw[whole], times[whole]
    if len(raw):
        track.take(raw, times)
