"""Fast packets of NMEA 2000 put together: messages of up to 223 bytes in frames of eight.

Source: the layout as the open canboat code reads it: byte 0 is the sequence (3 bits) and the frame (5 bits); frame 0
has the length in byte 1 and six bytes of the message, each further one seven. Frames may come out of order. Two
messages of one sender that use the same sequence are told apart by a new frame 0, by other content, and by time; a
frame that comes again unchanged right away is used once.
"""

from dataclasses import dataclass, field

from engineering.canlog.frames import NO_TIME

_LONGEST = 223
_TIMEOUT_US = 750_000
"""Between the first and the last frame of one message; they are sent back to back (the limit is our own choice)."""
_OPEN_AT_ONCE = 1024


@dataclass(slots=True)
class _Session:
    began: int
    received: dict[int, bytes] = field(default_factory=dict)
    newest: int = -1
    length: int = 0
    frames: int = 0
    """How many the message has; 0 before its frame 0 came."""
    done: bool = False

    def announce(self, length: int) -> None:
        self.length = length
        self.frames = 1 + max(0, -(-(length - 6) // 7))

    def has_room_for(self, number: int, data: bytes) -> bool:
        """Whether a frame other than frame 0 can be part of the message and is not cut off."""
        if not self.frames:
            return True
        needed = 7 if number < self.frames - 1 else self.length - 6 - 7 * (number - 1)
        return number < self.frames and len(data) - 1 >= needed


class FastPackets:
    """Puts the messages of one group together. ``key`` names the sender and its channel."""

    def __init__(self) -> None:
        """Nothing received."""
        self._sessions: dict[tuple[int, int], _Session] = {}
        self.lost_messages = self.lost_frames = self.used_frames = 0

    def push(self, key: int, time: int, data: bytes) -> bytes | None:
        """Take a frame; the whole message if this one completes it."""
        if len(data) < 2:
            return None
        sequence, number = data[0] >> 5, data[0] & 31
        session = self._session_for((key, sequence), number, time, data)
        if session is None or not (_may_begin(data) if number == 0 else session.has_room_for(number, data)):
            return None
        session.received[number] = data
        session.newest = number
        if number == 0:
            session.announce(data[1])
            if not all(session.has_room_for(n, other) for n, other in session.received.items() if n):
                self._lose((key, sequence))
                return None
        if len(session.received) != session.frames:
            return None
        session.done = True
        self.used_frames += session.frames
        parts = (session.received[n][1 if n else 2 :] for n in range(session.frames))
        return b"".join(parts)[: session.length]

    def finish(self) -> None:
        """At the end of the log: what is not complete is lost."""
        for key in list(self._sessions):
            self._lose(key)

    def _session_for(self, key: tuple[int, int], number: int, time: int, data: bytes) -> _Session | None:
        """The message that a frame belongs to, a new one if it begins one; None for a frame that came twice."""
        session = self._sessions.get(key)
        if session is not None:
            if session.received.get(number) == data and session.newest == number:
                return None
            timed = NO_TIME not in (time, session.began)
            late = timed and not 0 <= time - session.began <= _TIMEOUT_US
            if not (session.done or late or number in session.received):
                return session
            self._lose(key)
        if len(self._sessions) >= _OPEN_AT_ONCE:
            self._lose(next(iter(self._sessions)))
        session = self._sessions[key] = _Session(time)
        return session

    def _lose(self, key: tuple[int, int]) -> None:
        session = self._sessions.pop(key)
        if not session.done and session.received:
            self.lost_messages += 1
            self.lost_frames += len(session.received)


def _may_begin(data: bytes) -> bool:
    """Whether a frame 0 has a possible length, and is not cut off."""
    return 1 <= data[1] <= _LONGEST and len(data) >= min(8, 2 + data[1])
