"""Numbers in text, many at once: eight characters are one integer, and each step works on all lines of a piece.

The characters of a number stand in a 64-bit word, the first in its lowest byte. Words are cut to the characters that
belong to the number and filled up with zeros, "0" being what changes nothing.
"""

from typing import TypeAlias

import numpy as np
import numpy.typing as npt

from engineering.canlog.frames import Ints, Mask

Words: TypeAlias = npt.NDArray[np.uint64]

FRONT, BACK = 32, 64
"""Blanks around a piece, so that words before its first and after its last character can be read."""
_BLANKS = np.frombuffer(b"\t\n\v\f\r", np.uint8)


def _each_byte(value: int) -> np.uint64:
    return np.uint64(int.from_bytes(bytes([value]) * 8, "little"))


_ZEROS, _ONES, _LOW, _HIGH = (_each_byte(value) for value in (0x30, 0x01, 0x0F, 0xF0))
_SIX, _NINE, _TENTH_BIT = _each_byte(0x06), np.uint64(9), _each_byte(0x10)
_FIRST = np.array([(1 << 8 * count) - 1 for count in range(9)], np.uint64)
_LAST = ~_FIRST[::-1]
_PAIRS, _FOURS, _EIGHTS = np.uint64(0x00FF00FF00FF00FF), np.uint64(0x0000FFFF0000FFFF), np.uint64(0xFFFFFFFF)


def _shift(bits: int) -> np.uint64:
    return np.uint64(bits)


class Text:
    """A piece of a log as characters and as words that begin at each of them."""

    def __init__(self, piece: bytes) -> None:
        """``piece`` ends with a line feed."""
        padded = b" " * FRONT + piece + b" " * BACK
        self.characters = np.frombuffer(padded, np.uint8)
        self.words: Words = np.ndarray((len(padded) - 7,), np.dtype("<u8"), padded, strides=(1,))
        blank = self.characters <= 0x20
        edges = np.flatnonzero(blank[1:] != blank[:-1]) + 1
        self.token_starts: Ints = edges[0::2]
        self.token_ends: Ints = edges[1::2]
        feeds = np.flatnonzero(self.characters == 0x0A)
        self.line_starts: Ints = np.concatenate(([FRONT], feeds[:-1] + 1))
        self.first_tokens: Ints = np.searchsorted(self.token_starts, self.line_starts)
        self.token_counts: Ints = np.diff(self.first_tokens, append=len(self.token_starts))
        self.is_spoiled: Mask = self._lines_with_controls()
        """Of each line, whether it has characters that no text has: a file that was cut off is often full of NUL."""

    def _lines_with_controls(self) -> Mask:
        spoiled = np.zeros(len(self.line_starts), np.bool_)
        low = np.flatnonzero(self.characters < 0x20)
        controls = low[~np.isin(self.characters[low], _BLANKS)]
        spoiled[np.searchsorted(self.line_starts, controls, "right") - 1] = True
        return spoiled

    def first_of(self, character: int, starts: Ints, ends: Ints) -> Ints:
        """The first place of a character between each start and end, or the end."""
        places = np.append(np.flatnonzero(self.characters == character), len(self.characters))
        found = places[np.searchsorted(places, starts)]
        nearest: Ints = np.minimum(found, ends)
        return nearest

    def up_to(self, ends: Ints, counts: Ints) -> Words:
        """The last eight characters before each end, with zeros for all but the last ``counts``."""
        keep = _LAST[np.clip(counts, 0, 8)]
        return self.words[ends - 8] & keep | _ZEROS & ~keep

    def beginning(self, starts: Ints, counts: Ints) -> Words:
        """The eight characters from each start, with zeros for all but the first ``counts``."""
        return filled(self.words[starts], counts)

    def bare(self, starts: Ints, counts: Ints) -> Words:
        """The first ``counts`` characters, at most eight, from each start and nothing else."""
        return self.words[starts] & _FIRST[np.clip(counts, 0, 8)]


def filled(words: Words, counts: Ints) -> Words:
    """The first ``counts`` characters of each word, then zeros."""
    keep = _FIRST[np.clip(counts, 0, 8)]
    return words & keep | _ZEROS & ~keep


def from_digits(words: Words) -> tuple[Ints, Mask]:
    """The numbers that eight decimal digits are, and whether all are digits."""
    good = ((words & _HIGH) == _ZEROS) & (((words + _SIX) & _HIGH) == _ZEROS)
    pairs = (words & _LOW) * np.uint64(10) + ((words & _LOW) >> _shift(8))
    ends = np.uint64(0x000000FF000000FF)
    upper = (pairs & ends) * np.uint64(0x000F424000000064)
    lower = (pairs >> _shift(16) & ends) * np.uint64(0x0000271000000001)
    return ((upper + lower) >> _shift(32)).astype(np.int64), good


def from_hex(words: Words) -> tuple[npt.NDArray[np.uint32], Mask]:
    """The four bytes that eight hex digits are, the first in the lowest place, and whether all are hex digits."""
    letters = words >> _shift(6) & _ONES
    nibbles = (words & _LOW) + letters * _NINE
    spelled = nibbles + _ZEROS + letters * np.uint64(0x27)
    good = (
        (spelled == words | letters << _shift(5))
        & ((nibbles + _SIX) >> _shift(4) & _ONES == letters)
        & (nibbles & _TENTH_BIT == 0)
    )
    pairs = (nibbles << _shift(4) | nibbles >> _shift(8)) & _PAIRS
    fours = (pairs | pairs >> _shift(8)) & _FOURS
    return ((fours | fours >> _shift(16)) & _EIGHTS).astype(np.uint32), good
