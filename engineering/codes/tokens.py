"""What is found in a line of words, each with its place."""

import re
from dataclasses import dataclass
from enum import Enum, auto

from engineering.codes.code import CodeStatus


class Mark(Enum):
    """The kind of a token."""

    __hash__ = object.__hash__

    SPN_PAIR = auto()
    SPN = auto()
    FMI = auto()
    J1587 = auto()
    OBD = auto()
    FLASH = auto()
    SLIP = auto()
    """A P, C, B or U code in which a letter stands for a digit."""
    RANGE = auto()
    """Two P, C, B or U codes with a hyphen between them."""
    UNCLEAR_PAIR = auto()
    UNCLEAR_NUMBER = auto()
    UNCLEAR_COUNT = auto()
    COUNT = auto()
    STATUS = auto()
    STATUS_LETTER = auto()
    """A letter right behind a code that may stand for its status: "(A)"."""
    NO_STATUS = auto()
    """A status that is said not to be so, or may not be: "stored: no"."""


CODE_MARKS = frozenset(
    (Mark.SPN_PAIR, Mark.SPN, Mark.FMI, Mark.J1587, Mark.OBD, Mark.FLASH, Mark.SLIP, Mark.UNCLEAR_PAIR)
)
UNREAD_MARKS = frozenset((Mark.UNCLEAR_PAIR, Mark.UNCLEAR_NUMBER, Mark.UNCLEAR_COUNT))
WHOLE_CODES = (Mark.SPN_PAIR, Mark.FMI, Mark.J1587, Mark.OBD, Mark.FLASH)
"""What makes a code, one of these for each: an SPN alone waits for its FMI."""
_LETTER = re.compile(r" ?\((?:[ACHIMPS]|PA)\)| ?\[(?:[ACHIMPS]|PA)\]| (?:[ACHIMPS]|PA)(?= ?$| ?[,;|/])")
MAY_NUMBER_A_RECORD = "The key in front of it may number the record, or tell a version: write the code by itself."
UNCLEAR_JOINED = "joined"


@dataclass(frozen=True, slots=True)
class Token:
    """One find: ``values`` are the texts that matter in it, ``raw`` all of it as written.

    ``doubt`` says why it may be something else; ``named`` whether it names its own system.
    """

    mark: Mark
    start: int
    end: int
    raw: str
    values: tuple[str, ...] = ()
    status: CodeStatus | None = None
    doubt: str = ""
    named: bool = False


class Taken:
    """Tokens so far, and the places they stand on."""

    def __init__(self) -> None:
        self._tokens: list[Token] = []
        self._places: set[int] = set()

    def add(self, mark: Mark, pattern: re.Pattern[str], line: str, *, named: bool = False) -> None:
        """Keep every find of a pattern; its groups are the values."""
        for match in pattern.finditer(line):
            self.add_match(mark, match, tuple(group for group in match.groups() if group), named=named)

    def add_match(
        self,
        mark: Mark,
        match: re.Match[str],
        values: tuple[str, ...],
        status: CodeStatus | None = None,
        *,
        doubt: str = "",
        named: bool = False,
    ) -> None:
        """Keep one find of a pattern."""
        self.add_place(Token(mark, match.start(), match.end(), match[0], values, status, doubt, named))

    def add_place(self, token: Token) -> None:
        """Keep a token, unless one stands there already."""
        places = range(token.start, token.end)
        if self._places.isdisjoint(places):
            self._places.update(places)
            self._tokens.append(token)

    def skip(self, pattern: re.Pattern[str], line: str) -> None:
        """What belongs to a code and says nothing that is kept."""
        for match in pattern.finditer(line):
            self._places.update(range(match.start(), match.end()))

    def covers(self, place: int) -> bool:
        """Whether a token stands on a place."""
        return place in self._places

    def has_code(self) -> bool:
        """Whether one of them is a code."""
        return any(token.mark in CODE_MARKS for token in self._tokens)

    def last_code_ends(self) -> int:
        """Where the last code ends; there is one."""
        return max(token.end for token in self._tokens if token.mark in CODE_MARKS)

    def add_letters(self, line: str) -> None:
        """The letters right behind codes that may stand for a status."""
        for token in list(self._tokens):
            if token.mark in CODE_MARKS and (letter := _LETTER.match(line, token.end)):
                self.add_match(Mark.STATUS_LETTER, letter, (letter[0].strip(" ()[]"),))

    def drop_record_keys(self) -> None:
        """Where another code stands in the line, what may only number the record is none."""
        kept = [token for token in self._tokens if token.doubt != MAY_NUMBER_A_RECORD]
        if len(kept) < len(self._tokens) and any(token.mark is Mark.OBD for token in kept):
            self._tokens = kept

    def in_order(self) -> list[Token]:
        """All of them, by their place."""
        return sorted(self._tokens, key=lambda token: token.start)
