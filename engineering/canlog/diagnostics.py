"""Trouble codes and lamps of J1939 diagnostic messages, single frames and messages in packets."""

from collections import Counter
from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np

from engineering.canlog.frames import NO_TIME, Batch, Ints
from engineering.canlog.incomplete import UNKNOWN, Incomplete
from engineering.canlog.summary import CodeSpan, IncompleteSpan, StatusSpan, UnitSpan
from engineering.canlog.times import Timeline
from engineering.canlog.tracks import Seen
from engineering.codes import Code, CodeStatus, CodeSystem
from engineering.codes.dm import DM_NAMES, DmMessage, read_dm
from engineering.codes.spn import Dtc
from engineering.codes.transport import TP_CM, TP_DT, Lost, Transport

DIAGNOSTIC_PGNS = (*DM_NAMES, TP_CM, TP_DT)
_MOST_CODES, _MOST_UNITS, _OPEN_AT_ONCE = 4096, 1024, 256
_TO_ALL = 255
_TIMEOUT_US, _TIMEOUT_TO_ONE_US = 750_000, 1_250_000
"""The longest between two packets, to all and to one receiver: T1, and T2 and T3, of SAE J1939-21 (from memory)."""

_read_short = lru_cache(maxsize=1024)(read_dm)
"""Units repeat their short messages every second; long ones are not kept, as a thousand of them would be large."""


@dataclass(slots=True)
class _Code:
    dtc: Dtc
    count: int | None = None
    messages: int = 0
    last_message: int = 0
    seen: Seen = field(default_factory=Seen)


@dataclass(slots=True)
class _Lamp:
    words: str
    messages: int = 0
    of_messages: int = 0
    on: bool = False
    seen: Seen = field(default_factory=Seen)

    def take(self, on: bool, time: int) -> None:
        self.of_messages += 1
        self.on = on
        if on:
            self.messages += 1
            self.seen.take(time)


@dataclass(slots=True)
class _Unit:
    """What one unit says with one kind of diagnostic message."""

    messages: int = 0
    without_code: int = 0
    ends_without_code: bool = False
    seen: Seen = field(default_factory=Seen)
    codes: dict[bytes, _Code] = field(default_factory=dict)
    lamps: dict[str, _Lamp] = field(default_factory=dict)


class Diagnostics:
    """All diagnostic messages of a log. ``not_decoded`` counts what became of frames that carry no codes."""

    def __init__(self) -> None:
        """Nothing heard."""
        self._units: dict[tuple[int, int, int], _Unit] = {}
        self._codes = 0
        self._transports: dict[tuple[int, int, int], Transport] = {}
        self._newest: dict[tuple[int, int, int], tuple[int, int]] = {}
        """The time and number of each sender's newest packet; an announcement is number 0."""
        self._place = self._transported = self._accounted = 0
        self._incomplete = Incomplete()
        self.decoded = self.lost_messages = self.codes_left_out = self.with_rest = 0
        self.not_decoded: Counter[tuple[str, int]] = Counter()

    def take(self, batch: Batch, pgns: Ints) -> None:
        """Take the diagnostic messages and packets of a batch; other frames are left alone."""
        places = np.flatnonzero(np.isin(pgns, DIAGNOSTIC_PGNS))
        if not len(places):
            return
        frames = batch.chosen(places)
        columns = (frames.can_ids, frames.lengths, frames.times, frames.channels)
        raw = frames.data.tobytes()
        for at, (pgn, can_id, length, time, channel) in enumerate(
            zip(pgns[places].tolist(), *(column.tolist() for column in columns), strict=True)
        ):
            data = raw[8 * at : 8 * at + length]
            self._place += 1
            if pgn in DM_NAMES:
                self._take_message((channel, can_id & 0xFF, pgn), data, time, 1)
            else:
                self._take_packet(pgn, channel, can_id, data, time)

    def _take_packet(self, pgn: int, channel: int, can_id: int, data: bytes, time: int) -> None:
        self._transported += 1
        source, destination = can_id & 0xFF, can_id >> 8 & 0xFF
        key = (channel, min(source, destination), max(source, destination))
        transport = self._transports.pop(key, None) or Transport()
        if len(self._transports) >= _OPEN_AT_ONCE:
            oldest = next(iter(self._transports))
            self._give_up(oldest[0], self._transports.pop(oldest))
        self._transports[key] = transport
        if self._is_of_another(pgn, channel, can_id, data, time):
            for lost in transport.give_up(source, destination):
                self._lose(channel, lost)
        step = transport.push(pgn, source, destination, data, self._place)
        for lost in step.lost:
            self._lose(channel, lost)
        if step.is_stray:
            self._incomplete.take_lost((channel, source, UNKNOWN, UNKNOWN), self._place)
        if step.message:
            frames = len(step.message.lines)
            self._accounted += frames
            if step.message.pgn in DM_NAMES:
                self._take_message((channel, source, step.message.pgn), step.message.payload, time, frames)
            else:
                self.not_decoded["pgn", step.message.pgn] += frames

    def _is_of_another(self, pgn: int, channel: int, can_id: int, data: bytes, time: int) -> bool:
        """Whether a packet comes too late for the message that is open, or without times out of order.

        The announcement of its own message may have been lost, and then it would complete another.
        """
        key, number = (channel, can_id & 0xFF, can_id >> 8 & 0xFF), data[0] if data else 0
        if pgn == TP_CM:
            if data[:1] in (b"\x20", b"\x10"):
                self._newest.pop(key, None)
                if len(self._newest) >= _MOST_UNITS:
                    self._newest.pop(next(iter(self._newest)))
                self._newest[key] = (time, 0)
            return False
        before, newest = self._newest.get(key, (NO_TIME, number))
        self._newest[key] = (time, number)
        if NO_TIME in (time, before):
            return number not in (newest, newest + 1)
        return abs(time - before) > (_TIMEOUT_US if key[2] == _TO_ALL else _TIMEOUT_TO_ONE_US)

    def _lose(self, channel: int, lost: Lost) -> None:
        self.lost_messages += 1
        self._accounted += len(lost.lines)
        self.not_decoded["transport-lost", TP_DT] += len(lost.lines)
        self._incomplete.take_lost_packets(channel, lost)

    def _give_up(self, channel: int, transport: Transport) -> None:
        for lost in transport.unfinished():
            self._lose(channel, lost)

    def _take_message(self, key: tuple[int, int, int], payload: bytes, time: int, frames: int) -> None:
        pgn = key[2]
        read = (_read_short if len(payload) <= 8 else read_dm)(pgn, payload)
        unit = self._unit(key) if read.lamps else None
        if unit is None:
            self.not_decoded["too-many" if read.lamps else "too-short", pgn] += frames
            self._incomplete.take_lost((*key, UNKNOWN), self._place)
            return
        self._incomplete.take_read((*key, UNKNOWN), self._place)
        self.decoded += frames
        self.with_rest += bool(read.problem)
        unit.messages += 1
        unit.seen.take(time)
        unit.ends_without_code = read.no_code
        unit.without_code += read.no_code
        _take_lamps(unit, read, time)
        for dtc in read.dtcs:
            self._take_code(unit, dtc, time)

    def _unit(self, key: tuple[int, int, int]) -> _Unit | None:
        unit = self._units.get(key)
        if unit is None and len(self._units) < _MOST_UNITS:
            unit = self._units[key] = _Unit()
        return unit

    def _take_code(self, unit: _Unit, dtc: Dtc, time: int) -> None:
        key = dtc.raw[:3] + bytes((dtc.conversion_method,))
        code = unit.codes.get(key)
        if code is None:
            if self._codes >= _MOST_CODES:
                self.codes_left_out += 1
                return
            self._codes += 1
            code = unit.codes[key] = _Code(dtc)
        if code.last_message != unit.messages:
            code.messages += 1
            code.last_message = unit.messages
        if dtc.count is not None and (code.count is None or dtc.count > code.count):
            code.count = dtc.count
        code.seen.take(time)

    def finish(self) -> None:
        """After the last batch: count what was never complete."""
        for (channel, _, _), transport in self._transports.items():
            self._give_up(channel, transport)
        self.not_decoded["transport-rest", TP_DT] += self._transported - self._accounted

    def codes(self, channels: tuple[str, ...], timeline: Timeline) -> tuple[CodeSpan, ...]:
        """Every code of every unit, in order of unit and bytes."""
        return tuple(
            _code_span(code, timeline, channel=channels[channel], source=source, status=DM_NAMES[pgn][1], of=unit)
            for (channel, source, pgn), unit in sorted(self._units.items())
            for _, code in sorted(unit.codes.items())
        )

    def units(self, channels: tuple[str, ...], timeline: Timeline) -> tuple[UnitSpan, ...]:
        """The units that sent diagnostic messages."""
        return tuple(
            UnitSpan(
                channels[channel],
                source,
                DM_NAMES[pgn][1],
                unit.messages,
                unit.without_code,
                unit.ends_without_code,
                timeline.since_start(unit.seen.first),
                timeline.since_start(unit.seen.last),
                pgn,
            )
            for (channel, source, pgn), unit in sorted(self._units.items())
        )

    def incomplete(self, channels: tuple[str, ...]) -> tuple[IncompleteSpan, ...]:
        """The diagnostic messages that were never complete or are too short, and packets without an announcement."""
        return tuple(self._incomplete.spans(channels))

    def lamps(self, channels: tuple[str, ...], timeline: Timeline) -> tuple[StatusSpan, ...]:
        """The lamps that were on."""
        return tuple(
            StatusSpan(
                pgn,
                key,
                lamp.words,
                channels[channel],
                source,
                None,
                lamp.messages,
                lamp.of_messages,
                lamp.on,
                timeline.since_start(lamp.seen.first),
                timeline.since_start(lamp.seen.last),
            )
            for (channel, source, pgn), unit in sorted(self._units.items())
            for key, lamp in sorted(unit.lamps.items())
            if lamp.messages
        )


def _take_lamps(unit: _Unit, read: DmMessage, time: int) -> None:
    for lamp in read.lamps:
        if lamp.state not in ("on", "off"):
            continue
        key = lamp.name.replace(" ", "-")
        unit.lamps.setdefault(key, _Lamp(lamp.name)).take(lamp.state == "on", time)
        flashing = unit.lamps.setdefault(f"{key}-flashing", _Lamp(f"{lamp.name}, flashing"))
        flashing.take(bool(lamp.flash), time)


def _code_span(
    code: _Code, timeline: Timeline, *, channel: str, source: int, status: CodeStatus, of: _Unit
) -> CodeSpan:
    dtc = code.dtc
    return CodeSpan(
        channel,
        source,
        None if dtc.spn is None else Code(CodeSystem.SPN, dtc.text),
        status,
        dtc.fmi,
        dtc.raw.hex(" ").upper(),
        tuple(dict.fromkeys(dtc.possible_spns)),
        code.count,
        code.messages,
        code.last_message == of.messages,
        timeline.since_start(code.seen.first),
        timeline.since_start(code.seen.last),
    )
