"""Lines of one shape read many at once: which token is what, and what a line must be like to be read that way.

A line that does not fit is no damage: it is left to be read one at a time.
"""

from dataclasses import dataclass
from enum import Enum

import numpy as np

from engineering.canlog.characters import Text, Words, filled, from_digits, from_hex
from engineering.canlog.frames import NO_TIME, Bytes, Ints, Mask

_HASH, _POINT = ord("#"), ord(".")
_MOST_SECONDS_DIGITS = 12
_PAIRS = np.array([3 * byte + half for byte in range(8) for half in range(2)])
_BLANKS = np.array([3 * byte + 2 for byte in range(7)])


class Extended(Enum):
    """How a format says that an identifier has 29 bits."""

    EIGHT_DIGITS = "eight digits"
    X_AFTER = "x after it"
    OVER_FOUR = "more than four digits"


@dataclass(frozen=True, slots=True)
class Shape:
    """The places of the tokens of a line, from 0.

    ``marks`` must begin with one of the given texts of one or two characters. Without a ``length`` the data stand
    behind a # in the identifier's token; else they are tokens of two digits from ``data`` on, and ``bracketed`` lengths
    stand in [ ].
    """

    identifier: int
    extended: Extended
    time: int | None = None
    in_brackets: bool = False
    in_milliseconds: bool = False
    channel: int | None = None
    length: int | None = None
    bracketed: bool = False
    data: int = 0
    marks: tuple[tuple[int, tuple[bytes, ...]], ...] = ()


@dataclass(frozen=True, slots=True)
class Shaped:
    """The lines that fit: their places among all lines, and what they hold. ``channels`` are up to eight characters."""

    lines: Ints
    times: Ints
    channels: Words
    can_ids: Ints
    extended: Mask
    lengths: Ints
    data: Bytes


def read_shape(text: Text, shape: Shape) -> Shaped:
    """Read the lines of a piece that have the shape."""
    return _Reading(text, shape).read()


class _Reading:
    """One piece while it is read: arrays over the lines with enough tokens, and which of these are still good."""

    def __init__(self, text: Text, shape: Shape) -> None:
        self._text, self._shape = text, shape
        needed = 1 + max(
            place
            for place in (shape.identifier, shape.time, shape.channel, shape.length, *(mark for mark, _ in shape.marks))
            if place is not None
        )
        self._lines = np.flatnonzero(text.token_counts >= needed)
        self._first = text.first_tokens[self._lines]
        self._count = text.token_counts[self._lines]
        self._good: Mask = ~text.is_spoiled[self._lines]

    def read(self) -> Shaped:
        for place, allowed in self._shape.marks:
            starts, ends = self._token(place)
            words = self._text.bare(starts, np.minimum(ends - starts, 2))
            self._good &= np.isin(words, [np.uint64(int.from_bytes(one, "little")) for one in allowed])
        times, channels = self._times(), self._channels()
        can_ids, extended, data_at = self._identifiers()
        lengths, pairs = self._hashed(data_at) if self._shape.length is None else self._spaced(self._shape.length)
        first, first_good = from_hex(filled(pairs[:, 0], 2 * lengths))
        second, second_good = from_hex(filled(pairs[:, 1], 2 * lengths - 8))
        self._good &= first_good & second_good
        data = np.stack((first, second), axis=1).astype("<u4").view(np.uint8)
        good = self._good
        return Shaped(
            self._lines[good],
            times[good],
            channels[good],
            can_ids[good],
            extended[good],
            lengths[good],
            data[good],
        )

    def _token(self, place: int | Ints) -> tuple[Ints, Ints]:
        at = np.minimum(self._first + place, len(self._text.token_starts) - 1)
        return self._text.token_starts[at], self._text.token_ends[at]

    def _times(self) -> Ints:
        if self._shape.time is None:
            return np.full(len(self._lines), NO_TIME)
        starts, ends = self._token(self._shape.time)
        if self._shape.in_brackets:
            characters = self._text.characters
            self._good &= (characters[starts] == ord("(")) & (characters[ends - 1] == ord(")"))
            starts, ends = starts + 1, ends - 1
        points = self._text.first_of(_POINT, starts, ends)
        whole, part = points - starts, ends - points - 1
        self._good &= (whole >= 1) & (whole <= _MOST_SECONDS_DIGITS) & (part <= 9)
        low, low_good = from_digits(self._text.up_to(points, whole))
        high, high_good = from_digits(self._text.up_to(points - 8, whole - 8))
        fraction, fraction_good = from_digits(self._text.beginning(points + 1, part))
        self._good &= low_good & high_good & fraction_good
        units = high * 100_000_000 + low
        if self._shape.in_milliseconds:
            return units * 1000 + fraction // 100_000
        return units * 1_000_000 + fraction // 100

    def _channels(self) -> Words:
        if self._shape.channel is None:
            return np.zeros(len(self._lines), np.uint64)
        starts, ends = self._token(self._shape.channel)
        self._good &= ends - starts <= 8
        return self._text.bare(starts, ends - starts)

    def _identifiers(self) -> tuple[Ints, Mask, Ints]:
        """The identifiers, whether they have 29 bits, and where hashed data begin."""
        starts, ends = self._token(self._shape.identifier)
        token_ends = ends
        if self._shape.length is None:
            ends = self._text.first_of(_HASH, starts, ends)
            self._good &= ends < token_ends
        elif self._shape.extended is Extended.X_AFTER:
            ends = ends - (self._text.characters[ends - 1] == ord("x"))
        digits = ends - starts
        if self._shape.extended is Extended.EIGHT_DIGITS:
            extended = digits == 8
            self._good &= extended | (digits == 3)
        else:
            extended = digits > 4 if self._shape.extended is Extended.OVER_FOUR else ends < token_ends
            self._good &= (digits >= 1) & (digits <= 8)
        value, good = from_hex(self._text.up_to(ends, digits))
        can_ids = value.byteswap().astype(np.int64)
        self._good &= good & (can_ids <= np.where(extended, 0x1FFFFFFF, 0x7FF))
        return can_ids, extended, ends + 1

    def _hashed(self, starts: Ints) -> tuple[Ints, Words]:
        """Data behind a #, with nothing after them but the direction."""
        _, ends = self._token(self._shape.identifier)
        digits = ends - starts
        after = self._count - 1 - self._shape.identifier
        next_starts, next_ends = self._token(self._shape.identifier + 1)
        direction = self._text.characters[next_starts] | 0x20
        is_direction = ((direction == ord("r")) | (direction == ord("t"))) & (next_ends - next_starts == 1)
        self._good &= (digits >= 0) & (digits <= 16) & (digits % 2 == 0) & ((after == 0) | (after == 1) & is_direction)
        last = np.minimum(starts + 8, len(self._text.words) - 1)
        words = np.stack((self._text.words[starts], self._text.words[last]), axis=1)
        return np.clip(digits // 2, 0, 8), words

    def _spaced(self, length: int) -> tuple[Ints, Words]:
        """Data as tokens of two digits, as many as the length says, and then no further one."""
        starts, ends = self._token(length)
        if self._shape.bracketed:
            brackets = self._text.characters
            self._good &= (brackets[starts] == ord("[")) & (brackets[ends - 1] == ord("]"))
            starts, ends = starts + 1, ends - 1
        lengths = self._text.characters[starts].astype(np.int64) - ord("0")
        self._good &= (ends - starts == 1) & (lengths >= 0) & (lengths <= 8)
        lengths = np.clip(lengths, 0, 8)
        after = self._count - self._shape.data - lengths
        next_starts, next_ends = self._token(self._shape.data + lengths)
        self._good &= (after == 0) | (after > 0) & (
            (next_ends - next_starts > 2) | (self._text.characters[next_starts] == ord("'"))
        )
        first, _ = self._token(self._shape.data)
        first = np.minimum(first, len(self._text.characters) - 24)
        blank = self._text.characters[first[:, None] + _BLANKS] == 0x20
        self._good &= (blank | (np.arange(1, 8) >= lengths[:, None])).all(axis=1)
        characters = np.ascontiguousarray(self._text.characters[first[:, None] + _PAIRS])
        return lengths, characters.view(np.dtype("<u8"))
