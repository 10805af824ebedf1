"""Service replies longer than one CAN frame, put together from their parts.

Source: ISO 15765-2 framing as open libraries implement it: 0n one frame of n bytes, 1n nn the first of nnn bytes,
2n the parts after it, 3n flow control.
"""

from dataclasses import dataclass, field

from engineering.codes.transport import Lost


@dataclass(frozen=True, slots=True)
class Part:
    """What one part did. ``payload`` is there once it completes a reply; ``lost`` where it ends another unfinished."""

    sentence: str
    understood: bool
    payload: bytes | None = None
    lost: tuple[Lost, ...] = ()
    in_order: bool = True
    """Of a whole reply: each part came once and after the one before it; otherwise two replies may be mixed in it."""


@dataclass(slots=True)
class _Growing:
    total: int
    first: bytes
    lines: list[int]
    parts: dict[int, bytes] = field(default_factory=dict)
    in_order: bool = True

    def part_count(self) -> int:
        return max(0, -(-(self.total - len(self.first)) // 7))

    def missing(self) -> list[int]:
        return [number for number in range(1, self.part_count() + 1) if number not in self.parts]

    def payload(self) -> bytes:
        return (self.first + b"".join(self.parts[n] for n in range(1, self.part_count() + 1)))[: self.total]


class LongReplies:
    """Puts replies together, one at a time for each sender."""

    def __init__(self) -> None:
        """Start with none."""
        self._growing: dict[int, _Growing] = {}

    def take(self, sender: int, data: bytes, line: int) -> Part:
        """Take the bytes of one CAN frame of a reply, the framing byte included."""
        kind, low = data[0] >> 4, data[0] & 15
        if kind == 0:
            if not 1 <= low <= 7 or len(data) < low + 1:
                return Part(f"The frame says {low} bytes but shows {len(data) - 1}: it may be cut off.", False)
            return Part("", True, data[1 : low + 1])
        if kind == 1 and len(data) == 8:
            return self.begin(sender, low << 8 | data[1], data[2:], line)
        if kind == 2:
            return self.go_on(sender, low, data[1:], line)
        if kind == 3:
            return Part("Flow control of a longer reply; it carries no codes.", True)
        return Part("The first byte of this frame matches no framing known here.", False)

    def begin(self, sender: int, total: int, first: bytes, line: int) -> Part:
        """Take the first part of a reply of ``total`` bytes."""
        if total <= 7 or len(first) < 6:
            return Part(f"A longer reply of {total} bytes does not start like this: not read.", False)
        before = self._growing.get(sender)
        self._growing[sender] = _Growing(total, first, [line])
        lost = (_lost(before),) if before else ()
        return Part(f"Begins a reply of {total} bytes.", True, lost=lost)

    def go_on(self, sender: int, low: int, content: bytes, line: int) -> Part:
        """Take a later part, numbered 1 to 15 and then 0 again. Up to 15 parts may come in any order."""
        growing = self._growing.get(sender)
        if growing is None:
            return Part(f"Part {low} of a longer reply whose beginning is not here.", False)
        number = self._number(growing, low)
        if number is None or not 1 <= number <= growing.part_count():
            return Part(f"Part {low} does not fit the reply before it.", False)
        needed = min(7, growing.total - len(growing.first) - 7 * (number - 1))
        if len(content) < needed:
            return Part(f"Part {number} is cut off: {len(content)} of {needed} bytes.", False)
        if number in growing.parts:
            return self._again(sender, growing, number, content[:needed])
        growing.in_order = growing.in_order and number == len(growing.parts) + 1
        growing.parts[number] = content[:needed]
        growing.lines.append(line)
        if growing.missing():
            return Part(f"Part {number} of {growing.part_count()}.", True)
        del self._growing[sender]
        return Part(f"Part {number} of {growing.part_count()}.", True, growing.payload(), in_order=growing.in_order)

    def _again(self, sender: int, growing: _Growing, number: int, content: bytes) -> Part:
        growing.in_order = False
        if growing.parts[number] == content:
            return Part(f"Part {number} again, the same: used once.", True)
        del self._growing[sender]
        reason = f"Part {number} came twice with different bytes, so the reply cannot be trusted."
        return Part(reason, False, lost=(Lost(tuple(growing.lines), reason),))

    def give_up(self) -> tuple[Lost, ...]:
        """End all replies that are not complete: what comes after something else is no part of them."""
        lost = self.unfinished()
        self._growing.clear()
        return lost

    def is_waiting_for(self, sender: int) -> bool:
        """Whether a reply of this sender is not complete."""
        return sender in self._growing

    def unfinished(self) -> tuple[Lost, ...]:
        """The replies that are not complete, at the end of the text."""
        return tuple(_lost(growing) for growing in self._growing.values())

    @staticmethod
    def _number(growing: _Growing, low: int) -> int | None:
        """The true number of a part, which shows only its last four bits; long replies must come in order."""
        if growing.part_count() <= 15:
            return low
        expected = len(growing.parts) + 1
        return expected if low == expected % 16 else None


def _lost(growing: _Growing) -> Lost:
    missing = len(growing.missing())
    return Lost(
        tuple(growing.lines),
        f"Not read: {missing} of {growing.part_count()} later parts {'is' if missing == 1 else 'are'} missing.",
    )
