"""Fast packets of NMEA 2000 put together: messages of up to 223 bytes in frames of eight.

Source: the layout as the open canboat code reads it: byte 0 is the sequence (3 bits) and the frame (5 bits); frame 0
has the length in byte 1 and six bytes of the message, each further one seven.

A log may lack frames, hold them twice, or in another order. No message is made of frames of two: a frame 0 always
begins a new one, what came before it is lost, and a further frame joins the message of its sequence only while that
cannot be an older one. How close together frames have to be is our own choice, far above what a sender needs.
"""

from dataclasses import dataclass, field

from engineering.canlog.frames import NO_TIME

_LONGEST = 223
_TIMEOUT_US = 750_000
"""Between the first and the last frame of one message; they are sent back to back."""
_GAP_US = 50_000
"""Between two frames of one message: less than between two messages of a sender that does not count its sequence on."""
_OTHER_SEQUENCES = 4
"""After so many other sequences (of eight, used in turn) a message is not gone on with."""
_OPEN_AT_ONCE = 1024


@dataclass(frozen=True, slots=True)
class LostMessage:
    """A message that was never complete: its sender, the place of its newest frame, and how it begins.

    ``begins`` are the first six bytes, empty where frame 0 never came.
    """

    key: int
    place: int
    begins: bytes


@dataclass(slots=True)
class _Session:
    began: int
    """The time of its first frame."""
    newest_time: int
    continues: bool = False
    """Whether its frames may be the rest of a message that was given up: then it is not counted as another."""
    place: int = 0
    received: dict[int, bytes] = field(default_factory=dict)
    newest: int = -1
    length: int = 0
    frames: int = 0
    """How many the message has; 0 where its frame 0 never came."""
    done: bool = False
    others: int = 0
    """The sequences that the sender used since, a bit each."""
    repeats_sequence: bool = False
    """Whether the sender's message before it had the same sequence: then only the time tells them apart."""

    def announce(self, length: int) -> None:
        self.length = length
        self.frames = 1 + max(0, -(-(length - 6) // 7))

    def is_over(self, time: int) -> bool:
        """Whether a frame of this time can no longer be part of the message."""
        if self.others.bit_count() >= _OTHER_SEQUENCES:
            return True
        if NO_TIME in (time, self.began, self.newest_time):
            return self.repeats_sequence
        late = not 0 <= time - self.began <= _TIMEOUT_US
        return late or (self.frames > 0 and abs(time - self.newest_time) > _GAP_US)

    def has_to_be_in_order(self, time: int) -> bool:
        """Whether a frame that comes early may be one of the next message."""
        return self.repeats_sequence or NO_TIME in (time, self.began)

    def has_room_for(self, number: int, data: bytes) -> bool:
        """Whether a frame other than frame 0 can be part of the message and is not cut off."""
        if not self.frames:
            return True
        needed = 7 if number < self.frames - 1 else self.length - 6 - 7 * (number - 1)
        return number < self.frames and len(data) - 1 >= needed

    def keep(self, number: int, time: int, data: bytes, place: int) -> None:
        self.received[number] = data
        self.newest, self.newest_time = number, time
        self.place = place

    def is_whole_but_for(self, first: int, last: int) -> bool:
        """Whether only the log's first or last frame, at these times, keeps the message from being whole."""
        numbers = sorted(self.received)
        if numbers != list(range(numbers[0], numbers[-1] + 1)):
            return False
        since, until = (self.newest_time, last) if self.frames else (first, self.began)
        return NO_TIME not in (since, until) and 0 <= until - since <= _GAP_US


class FastPackets:
    """Puts the messages of one group together. ``key`` names the sender and its channel."""

    def __init__(self) -> None:
        """Nothing received."""
        self._sessions: dict[tuple[int, int], _Session] = {}
        self._begun: dict[int, int] = {}
        """The sequence of each sender's newest frame 0."""
        self._given_up: dict[tuple[int, int], tuple[int, int]] = {}
        """The time and number of the newest frame of what was lost last."""
        self._place = 0
        self.log_began = NO_TIME
        self.lost: list[LostMessage] = []
        """What was lost; who reads it empties it."""
        self.lost_messages = self.lost_frames = self.used_frames = 0

    def push(self, key: int, time: int, data: bytes) -> bytes | None:
        """Take a frame; the whole message if this one completes it."""
        self._place += 1
        if len(data) < 2:
            return None
        sequence, number = data[0] >> 5, data[0] & 31
        for other in range(8):
            if other != sequence and (session := self._sessions.get((key, other))) is not None:
                session.others |= 1 << sequence
        at = (key, sequence)
        session = self._sessions.get(at)
        if session is not None and session.newest == number and session.received.get(number) == data:
            return None  # the same frame again, right after itself: used once
        return self._begin(at, time, data) if number == 0 else self._go_on(at, time, data)

    def finish(self, log_ended: int = NO_TIME) -> None:
        """At the end of the log, with the time of its last frame: what is not complete is lost."""
        for key in list(self._sessions):
            self._lose(key, log_ended)

    def _begin(self, at: tuple[int, int], time: int, data: bytes) -> bytes | None:
        """A frame 0: whatever its sequence held before is over."""
        self._lose(at)
        self._given_up.pop(at, None)
        if not _may_begin(data):
            return None
        session = self._open(at, time)
        session.announce(data[1])
        session.repeats_sequence = self._begun.get(at[0]) == at[1]
        self._begun[at[0]] = at[1]
        session.keep(0, time, data, self._place)
        return self._completed(session)

    def _go_on(self, at: tuple[int, int], time: int, data: bytes) -> bytes | None:
        """A further frame: of the open message, or left over from one whose frame 0 never came."""
        number, session = data[0] & 31, self._sessions.get(at)
        if session is not None and not session.done and not session.is_over(time):
            if number in session.received:
                if session.received[number] != data:
                    self._give_up(at, time, number)  # two messages under one sequence: neither can be trusted
                return None
            if not session.has_room_for(number, data):
                return None
        elif (
            session is not None and session.done and not session.is_over(time) and session.received.get(number) == data
        ):
            return None
        else:
            self._lose(at)
            session = self._open(at, time)
            session.continues = self._may_continue(at, time, number)
        if session.frames and session.has_to_be_in_order(time) and number != session.newest + 1:
            self._give_up(at, time, number)
            return None
        session.keep(number, time, data, self._place)
        return self._completed(session)

    def _open(self, at: tuple[int, int], time: int) -> _Session:
        if len(self._sessions) >= _OPEN_AT_ONCE:
            self._lose(next(iter(self._sessions)))
        session = self._sessions[at] = _Session(time, time)
        return session

    def _completed(self, session: _Session) -> bytes | None:
        if len(session.received) != session.frames:
            return None
        session.done = True
        self.used_frames += session.frames
        parts = (session.received[n][1 if n else 2 :] for n in range(session.frames))
        return b"".join(parts)[: session.length]

    def _give_up(self, at: tuple[int, int], time: int, number: int) -> None:
        self._lose(at)
        self._given_up[at] = (time, number)

    def _may_continue(self, at: tuple[int, int], time: int, number: int) -> bool:
        """Whether a frame may be of the message that was given up."""
        before, newest = self._given_up.pop(at, (time, number))
        self._given_up[at] = (time, number)
        if number <= newest:
            return False
        return NO_TIME in (time, before) or 0 <= time - before <= _TIMEOUT_US

    def _lose(self, at: tuple[int, int], log_ended: int = NO_TIME) -> None:
        session = self._sessions.pop(at, None)
        if session is None or session.done or not session.received:
            return
        self.lost_messages += 1
        self.lost_frames += len(session.received)
        if not session.continues and not session.is_whole_but_for(self.log_began, log_ended):
            self.lost.append(LostMessage(at[0], session.place, session.received.get(0, b"")[2:]))


def _may_begin(data: bytes) -> bool:
    """Whether a frame 0 has a possible length, and is not cut off."""
    return 1 <= data[1] <= _LONGEST and len(data) >= min(8, 2 + data[1])
