"""J1939 messages of more than eight bytes, put together from their packets.

Source: SAE J1939-21 transport protocol as published tutorials describe it: TP.CM (PGN 60416) announces, TP.DT
(PGN 60160) carries seven bytes each. In a log the packets' numbers decide, not their order, so a packet that comes
late or twice does no harm; one that never comes leaves the message unread. Timeouts are not judged here: who knows the
times gives a message up.
"""

from dataclasses import dataclass, field

TP_CM, TP_DT = 60416, 60160
_REQUEST, _CLEAR, _END, _ANNOUNCE, _ABORT = 16, 17, 19, 32, 255


@dataclass(frozen=True, slots=True)
class Message:
    """One whole message: what it is, who sent it if that is known, and the lines that its packets stood in."""

    pgn: int
    source: int | None
    payload: bytes
    lines: tuple[int, ...]
    in_order: bool = True
    """Each packet came once and after the one before it: otherwise two messages may be mixed in it."""


@dataclass(frozen=True, slots=True)
class Lost:
    """A message that was never complete: the lines it stood in, and why.

    ``begins`` are the bytes of its first packets, up to the first that is missing, of the ``size`` that was announced.
    """

    lines: tuple[int, ...]
    reason: str
    pgn: int = 0
    source: int = 0
    size: int = 0
    begins: bytes = b""


@dataclass(frozen=True, slots=True)
class Step:
    """What one packet did. ``message`` is there once it completes one; ``lost`` where it ends another unfinished.

    ``is_stray``: it belongs to a message whose announcement is missing or cannot be read.
    """

    sentence: str
    understood: bool
    message: Message | None = None
    lost: tuple[Lost, ...] = ()
    is_stray: bool = False


@dataclass(slots=True)
class _Session:
    pgn: int
    source: int
    size: int
    packets: int
    lines: list[int]
    received: dict[int, bytes] = field(default_factory=dict)
    done: bool = False
    last: int = 0
    in_order: bool = True

    def missing(self) -> list[int]:
        return [number for number in range(1, self.packets + 1) if number not in self.received]

    def lost(self, reason: str) -> Lost:
        missing = self.missing()
        before = missing[0] if missing else self.packets + 1
        begins = b"".join(self.received[number] for number in range(1, before))
        return Lost(tuple(self.lines), reason, self.pgn, self.source, self.size, begins)


class Transport:
    """Puts messages together, one session at a time for each sender and receiver, as the protocol has it."""

    def __init__(self) -> None:
        """Start with no session open."""
        self._sessions: dict[tuple[int, int], _Session] = {}

    def push(self, pgn: int, source: int, destination: int, data: bytes, line: int) -> Step:
        """Take one frame of TP.CM or TP.DT. ``line`` is only kept, to say later which lines were lost."""
        if len(data) < 2:
            return Step("A transport packet needs at least two bytes.", False, is_stray=True)
        if pgn == TP_CM:
            return self._control(source, destination, data, line)
        return self._packet(source, destination, data, line)

    def unfinished(self) -> tuple[Lost, ...]:
        """The messages that are not complete, at the end of the log."""
        return tuple(_lost(session) for session in self._sessions.values() if not session.done)

    def give_up(self, source: int, destination: int) -> tuple[Lost, ...]:
        """End what is open between a sender and a receiver; it comes back where it was not complete."""
        session = self._sessions.pop((source, destination), None)
        return (_lost(session),) if session and not session.done else ()

    def _control(self, source: int, destination: int, data: bytes, line: int) -> Step:
        control = data[0]
        if control in (_CLEAR, _END):
            return Step("Flow control of a longer message; it carries no codes.", True)
        if control == _ABORT:
            return self._abort(source, destination)
        if control not in (_ANNOUNCE, _REQUEST):
            return Step(f"Transport control byte {control} is not known.", False)
        if len(data) != 8:
            return Step(
                f"The announcement of a longer message needs 8 bytes, and this has {len(data)}.", False, is_stray=True
            )
        size, packets = data[1] | data[2] << 8, data[3]
        pgn = data[5] | data[6] << 8 | data[7] << 16
        if not 9 <= size <= 1785 or packets != -(-size // 7):
            reason = f"Announces {size} bytes in {packets} packets, which does not fit: 7 bytes go in each."
            return Step(reason, False, is_stray=True)
        before = self._sessions.get((source, destination))
        self._sessions[source, destination] = _Session(pgn, source, size, packets, [line])
        lost = (_lost(before),) if before and not before.done else ()
        return Step(f"Announces PGN {pgn}, {size} bytes in {packets} packets, from address {source}.", True, lost=lost)

    def _abort(self, source: int, destination: int) -> Step:
        lost = []
        for key in ((source, destination), (destination, source)):
            session = self._sessions.get(key)
            if session and not session.done:
                lost.append(session.lost("The message was broken off by a unit on the bus."))
                del self._sessions[key]
        return Step("Breaks off a longer message.", True, lost=tuple(lost))

    def _packet(self, source: int, destination: int, data: bytes, line: int) -> Step:
        session = self._sessions.get((source, destination))
        number, content = data[0], data[1:]
        if session is None:
            reason = f"Packet {number} from address {source} without the announcement of its message."
            return Step(reason, False, is_stray=True)
        if not 1 <= number <= session.packets:
            return Step(f"Packet {number} of a message that has {session.packets}.", False, is_stray=True)
        needed = min(7, session.size - 7 * (number - 1))
        if len(content) < needed:
            return Step(f"Packet {number} of {session.packets} is cut off: {len(content)} of {needed} bytes.", False)
        if number in session.received:
            return self._repeated(session, number, content[:needed], (source, destination))
        late = number < session.last
        session.in_order = session.in_order and number == session.last + 1
        session.last = max(session.last, number)
        session.received[number] = content[:needed]
        session.lines.append(line)
        sentence = f"Packet {number} of {session.packets}{', out of order but numbered' if late else ''}."
        if session.missing():
            return Step(sentence, True)
        session.done = True
        payload = b"".join(session.received[n] for n in range(1, session.packets + 1))
        return Step(sentence, True, Message(session.pgn, source, payload, tuple(session.lines), session.in_order))

    def _repeated(self, session: _Session, number: int, content: bytes, key: tuple[int, int]) -> Step:
        session.in_order = False
        if session.received[number] == content:
            return Step(f"Packet {number} of {session.packets} again, the same: used once.", True)
        if session.done:
            reason = f"Packet {number} again with other bytes, after its message was complete."
            return Step(reason, False, is_stray=True)
        del self._sessions[key]
        reason = f"Packet {number} came twice with different bytes, so the message cannot be trusted."
        return Step(reason, False, lost=(session.lost(reason),))


def _lost(session: _Session) -> Lost:
    missing = session.missing()
    shown = ", ".join(str(number) for number in missing[:5]) + (" and more" if len(missing) > 5 else "")
    what = (
        f"packet {shown} of {session.packets} is" if len(missing) == 1 else f"packets {shown} of {session.packets} are"
    )
    return session.lost(f"Not read: {what} missing.")
