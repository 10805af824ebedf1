"""What an invented boat's network says on a short run: frames of two engines as a candump text, always the same.

The messages are those of the open standards (PGNs as in ``engineering.canlog.groups``); maker and boat are invented.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime

ENGINE_RAPID, ENGINE_DYNAMIC, BATTERY, DM1, DM2, HEADING = 127488, 127489, 127508, 65226, 65227, 127250
NOTHING_16, NOTHING_32 = 0xFFFF, 0xFFFFFFFF


@dataclass(frozen=True)
class Motor:
    """One engine at one moment, as its unit would tell it."""

    instance: int
    source: int
    rpm: float
    oil_kpa: float
    coolant_c: float
    volts: float
    hours: float
    status: int = 0

    def rapid(self) -> bytes:
        """PGN 127488: the speed."""
        return bytes([self.instance]) + _whole(self.rpm * 4, 2) + _whole(NOTHING_16, 2) + b"\x7f\xff\xff"

    def dynamic(self) -> bytes:
        """PGN 127489: pressures, temperatures, hours, status bits."""
        return b"".join([
            bytes([self.instance]),
            _whole(self.oil_kpa * 10, 2),
            _whole(NOTHING_16, 2),
            _whole((self.coolant_c + 273.15) * 100, 2),
            _whole(self.volts * 100, 2),
            b"\xff\x7f",
            _whole(self.hours * 3600, 4),
            _whole(NOTHING_16, 2),
            _whole(NOTHING_16, 2),
            b"\xff",
            _whole(self.status, 2),
            _whole(0, 2),
            b"\x7f\x7f",
        ])  # fmt: skip


def trouble_codes(codes: Iterable[tuple[int, int, int]]) -> bytes:
    """DM1 or DM2 with at most one code in one frame: SPN, FMI, count. Nothing: the lamps are off, no code."""
    listed = list(codes)
    if not listed:
        return b"\x00\xff\x00\x00\x00\x00\xff\xff"
    (spn, fmi, count), *more = listed
    if more:
        raise ValueError("one frame has room for one code")
    return b"\x04\xff" + _whole(spn & 0xFFFF, 2) + bytes([spn >> 16 << 5 | fmi, count]) + b"\xff\xff"


def battery(volts: float, amps: float) -> bytes:
    """PGN 127508 of battery 0."""
    return b"\x00" + _whole(volts * 100, 2) + _whole(amps * 10, 2) + b"\xff\xff\xff"


def fast_packet(data: bytes, sequence: int) -> Iterator[bytes]:
    """A message of more than eight bytes in frames."""
    head = (sequence & 7) << 5
    yield bytes([head, len(data)]) + data[:6]
    for number, start in enumerate(range(6, len(data), 7), start=1):
        yield bytes([head | number]) + data[start : start + 7].ljust(7, b"\xff")


def line(at: float, pgn: int, source: int, data: bytes, *, priority: int = 6) -> str:
    """One frame as candump writes it."""
    return f"({at:.6f}) can0 {priority << 26 | pgn << 8 | source:08X}#{data.hex().upper()}\n"


def run_of(start: datetime, moments: Iterable[tuple[Motor, ...]], *, code: tuple[int, int, int] | None = None) -> str:
    """A run as a candump text: the engines every half second, their codes and the battery every second.

    ``code`` is what the first engine's unit lists as active in the second half of the run.
    """
    every = list(moments)
    begun = start.timestamp()
    lines: list[str] = []
    for number, motors in enumerate(every):
        at = begun + number / 2
        for motor in motors:
            lines.append(line(at, ENGINE_RAPID, motor.source, motor.rapid(), priority=2))
            lines += [
                line(at + 0.001 * (place + 1), ENGINE_DYNAMIC, motor.source, frame)
                for place, frame in enumerate(fast_packet(motor.dynamic(), number))
            ]
        if number % 2 == 0:
            first, *others = motors
            listed = [code] if code and number * 2 >= len(every) else []
            lines.append(line(at + 0.01, DM1, first.source, trouble_codes(listed)))
            lines += [line(at + 0.011, DM1, other.source, trouble_codes([])) for other in others]
            lines.append(line(at + 0.012, BATTERY, 60, battery(first.volts, 18.5)))
            lines.append(line(at + 0.013, HEADING, 36, b"\xff\x10\x20\xff\x7f\xff\x7f\xfd", priority=2))
    return "".join(sorted(lines))


def _whole(value: float, size: int) -> bytes:
    return round(value).to_bytes(size, "little")
