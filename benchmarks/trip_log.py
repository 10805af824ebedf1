"""A trip's CAN log as a boat with two engines would record it, written by candump: no boat's, made from a seed.

About 2,000 frames in a second on two channels: an NMEA 2000 network with two engines, transmissions, tanks, batteries,
temperatures and everything that a helm brings along, and the J1939 network of one engine. What is not about the engines
carries bytes at random.
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import dataclass
from math import sin
from pathlib import Path

STARTED_AT = 1_764_000_000
_HELM = (
    (127250, 60, 8), (127251, 60, 8), (127257, 40, 8), (127245, 40, 8), (127258, 1, 8), (128259, 8, 8), (128267, 8, 8),
    (129025, 60, 8), (129026, 60, 8), (129029, 8, 47), (129033, 2, 8), (129038, 40, 28), (129039, 20, 27),
    (129540, 6, 147), (130306, 60, 8), (130310, 4, 8), (130311, 4, 8), (126992, 4, 8), (126993, 4, 8), (65280, 120, 8),
    (65341, 60, 8), (130845, 60, 16), (130850, 30, 12), (60928, 1, 8), (127237, 20, 21), (65305, 80, 8), (65359, 80, 8),
    (65360, 80, 8), (126720, 30, 24), (130824, 60, 18),
)  # fmt: skip
"""PGN, messages in a second, bytes of a message: what instruments, pilots and plotters send."""


@dataclass(frozen=True)
class _Message:
    every: float
    pgn: int
    source: int
    channel: str
    instance: int = 0
    length: int = 8
    helm: bool = False


def _schedule() -> list[_Message]:
    messages = [
        _Message(1 / rate, pgn, 40 + at, "can0", 0, length, True) for at, (pgn, rate, length) in enumerate(_HELM)
    ]
    for engine in (0, 1):
        messages += [
            _Message(0.1, 127488, 1 + engine, "can0", engine),
            _Message(0.5, 127489, 1 + engine, "can0", engine, 26),
            _Message(0.1, 127493, 1 + engine, "can0", engine),
            _Message(1.5, 127508, 1 + engine, "can0", engine),
        ]
    messages += [_Message(2.5, 127505, 10, "can0", tank) for tank in range(3)]
    messages += [_Message(2.0, 130316, 11, "can0", place) for place in range(3)]
    fast, slow = ((61444, 0.02), (61443, 0.05)), ((65262, 1.0), (65263, 0.5), (65266, 0.1), (65271, 1.0))
    messages += [_Message(every, pgn, 0, "can1") for pgn, every in fast + slow]
    return [*messages, _Message(1.0, 65226, 0, "can1", 0, 10), _Message(5.0, 65253, 0, "can1")]


class _Trip:
    """What the boat does, second by second."""

    def __init__(self, seed: int) -> None:
        self._random = random.Random(seed)

    def payload(self, message: _Message, at: float) -> bytes:
        if message.helm:
            return self._random.randbytes(message.length)
        speed = 2200 + 900 * sin(at / 140 + message.instance / 9) + self._random.gauss(0, 8)
        warm = 1 - 2.7 ** (-at / 400)
        if message.channel == "can1":
            return self._j1939(message.pgn, speed, warm, at)
        return self._network(message, speed, warm, at)

    def _network(self, message: _Message, speed: float, warm: float, at: float) -> bytes:
        one = bytes([message.instance])
        if message.pgn == 127488:
            return one + _low(speed * 4) + _low(speed / 20) + b"\x02\xff\xff"
        if message.pgn == 127489:
            heat = 29_000 + 6_500 * warm + self._random.randrange(40)
            return (
                one + _low(1800 + speed / 2) + _low(2950 + 700 * warm) + _low(heat) + _low(1400 + speed / 100)
                + _low(speed / 8) + int(600_000 + at).to_bytes(4, "little") + b"\xff\xff" + _low(280) + b"\xff"
                + (b"\x02\x00" if at % 600 > 590 else b"\x00\x00") + bytes(2) + bytes([int(speed / 40), 0x7F])
            )  # fmt: skip
        if message.pgn == 127493:
            return one + b"\xfc" + _low(15_000 + speed) + _low(3000 + 500 * warm) + b"\x00\xff"
        if message.pgn == 127505:
            return one + _low(22_000 - at) + (4000).to_bytes(4, "little") + b"\xff"
        if message.pgn == 127508:
            return one + _low(1380 + self._random.randrange(30)) + _low(120) + _low(29_800) + b"\xff"
        heat = 293_000 + int(90_000 * warm) + self._random.randrange(900)
        return (
            b"\xff"
            + bytes([message.instance, (3, 14, 15)[message.instance]])
            + heat.to_bytes(3, "little")
            + b"\xff\xff"
        )

    def _j1939(self, pgn: int, speed: float, warm: float, at: float) -> bytes:
        if pgn == 65226:
            lit = at % 900 > 600
            return (b"\x04\xff" + bytes([110, 0, 0, 3, 100, 0, 1, 2])) if lit else b"\x00\xff" + bytes(4) + b"\xff\xff"
        if pgn == 61444:
            return b"\xff\xff\xff" + _low(speed * 8) + b"\xff\xff\xff"
        if pgn == 65253:
            return int(3400 * 20 + at / 180).to_bytes(4, "little") + b"\xff" * 4
        if pgn == 65271:
            return b"\xff" * 4 + _low(276) + b"\xff\xff"
        return bytes([int(40 + 82 * warm), 100, int(speed / 30), int(40 + speed / 30), 255, 255, 30, 240])


def _low(value: float) -> bytes:
    return int(value).to_bytes(2, "little")


def _frames(message: _Message, payload: bytes, sequence: int) -> Iterator[tuple[int, bytes]]:
    """The frames of a message: one, a fast packet, or J1939 packets."""
    can_id = (6 << 26) | message.pgn << 8 | message.source
    if len(payload) <= 8:
        yield can_id, payload
    elif message.channel == "can1":
        packets = -(-len(payload) // 7)
        yield 0x1CECFF00, bytes([32, len(payload), 0, packets, 255]) + message.pgn.to_bytes(3, "little")
        for number in range(packets):
            yield 0x1CEBFF00, bytes([number + 1]) + payload[7 * number : 7 * number + 7].ljust(7, b"\xff")
    else:
        head = sequence % 8 << 5
        yield can_id, bytes([head, len(payload)]) + payload[:6]
        for number in range(1, 1 + -(-(len(payload) - 6) // 7)):
            yield can_id, bytes([head | number]) + payload[7 * number - 1 : 7 * number + 6].ljust(7, b"\xff")


def write_trip(path: Path, seconds: int, seed: int = 7) -> int:
    """Write so many seconds of the trip, and say how many frames they are."""
    trip, schedule = _Trip(seed), _schedule()
    written = 0
    with path.open("w", encoding="ascii") as file:
        for second in range(seconds):
            due = []
            for at, message in enumerate(schedule):
                number = -int(-second // message.every)
                while (when := (number + at / len(schedule) % 1) * message.every) < second + 1:
                    if when >= second:
                        due.append((when, at, number, message))
                    number += 1
            lines = []
            for when, _, number, message in sorted(due, key=lambda one: one[:3]):
                for later, (can_id, data) in enumerate(_frames(message, trip.payload(message, when), number)):
                    moment = STARTED_AT + min(when + later * 0.0006, second + 0.999999)
                    lines.append(f"({moment:.6f}) {message.channel} {can_id:08X}#{data.hex().upper()}\n")
            lines.sort(key=lambda line: line[:19])
            file.writelines(lines)
            written += len(lines)
    return written
