"""What can be found in a line of words: codes, statuses and counts, each with its place.

Every pattern is bounded and free of nested repetition, so that no text makes it slow.
"""

import re
import unicodedata
from dataclasses import dataclass
from enum import Enum, auto

from engineering.codes.code import CodeStatus, CodeSystem
from engineering.codes.notation import pair_could_be_else


class Mark(Enum):
    """The kind of a token."""

    SPN_PAIR = auto()
    SPN = auto()
    FMI = auto()
    OBD = auto()
    FLASH = auto()
    UNCLEAR_PAIR = auto()
    UNCLEAR_NUMBER = auto()
    COUNT = auto()
    STATUS = auto()


_WHOLE_CODES = (Mark.SPN_PAIR, Mark.FMI, Mark.OBD, Mark.FLASH)
"""What makes a code, one of these for each: an SPN alone waits for its FMI."""


@dataclass(frozen=True, slots=True)
class Token:
    """One find: ``values`` are the texts that matter in it, ``raw`` all of it as written."""

    mark: Mark
    start: int
    end: int
    raw: str
    values: tuple[str, ...] = ()
    status: CodeStatus | None = None


_BEFORE, _AFTER = r"(?<![\w./:-])", r"(?![\w/-]|[.:,][0-9])"
_SPN_FMI = re.compile(r"\bSPN ?[/-] ?FMI[ :=#]{0,3}([0-9]{1,9}) ?[-/. ] ?([0-9]{1,4})\b")
_SPN_THEN = re.compile(r"\bSPN[ :=#.]{0,3}([0-9]{1,9})(?: ?[-/] ?|\.)([0-9]{1,4})(?![\w-])")
_SHORT = re.compile(r"\bS([0-9]{1,6}) ?[-/,]? ?F(?:MI)?([0-9]{1,2})\b")
_SPN = re.compile(r"\bSPN[ :=#.]{0,3}([0-9]{1,9})(?![\w])")
_FMI = re.compile(r"\bFMI[ :=#.]{0,3}([0-9]{1,4})(?![\w])")
_OBD = re.compile(r"(?<![A-Z0-9])([PCBU][0-3][0-9A-F]{3}(?:[-:][0-9A-F]{2}(?![A-Z0-9]))?)(?![A-Z0-9])")
_FLASH = re.compile(
    r"\b(?:FLASH|BLINK)(?: ?CODES?)?[ :=#]{0,3}"
    r"([0-9]{1,3}(?:-[0-9]){0,3}(?:[,;] ?[0-9]{1,3}(?:-[0-9]){0,3})*)(?![\w.-])"
)
_PAIR = re.compile(_BEFORE + r"([0-9]{1,6}) ?([-/]) ?([0-9]{1,2})" + _AFTER)
_POINTED = re.compile(r"^\W*([0-9]{1,6})\.([0-9]{1,2})" + _AFTER)
_COUNTS = (
    re.compile(r"\b(?:OCCURRENCE COUNT|OCCURRENCES?|COUNTS?|OCC?)[ :=#.]{0,3}([0-9]{1,6})(?![\w.])"),
    re.compile(r"(?<![\w.])[X*] ?([0-9]{1,6})(?![\w.])"),
    re.compile(r"(?<![\w.-])([0-9]{1,6}) ?(?:X|TIMES|OCCURRENCES?)(?!\w)"),
)
_LAST_NUMBER = re.compile(r"[ ,;:=-]{1,3}([0-9]{1,6})[ .,;]*$")
"""A bare number at the end of a line, right after its last token."""
_MOST_BARE_COUNT = 255
_STATUSES = (
    (
        CodeStatus.STORED,
        re.compile(
            r"\b(?:PREVIOUSLY[ -]ACTIVE|NO LONGER ACTIVE|NOT ACTIVE|INACTIVE|STORED|CONFIRMED|HISTORY|HISTORIC(?:AL)?"
            r"|DM2|(?:SERVICE|MODE) \$?0?3)\b"
        ),
    ),
    (CodeStatus.PENDING, re.compile(r"\b(?:PENDING|DM6|(?:SERVICE|MODE) \$?0?7)\b")),
    (CodeStatus.PERMANENT, re.compile(r"\b(?:PERMANENT|DM28|(?:SERVICE|MODE) \$?0?A)\b")),
    (CodeStatus.ACTIVE, re.compile(r"\b(?:ACTIVE|CURRENT(?= (?:CODE|DTC|FAULT|TROUBLE))|DM1)\b")),
)


def tidied(text: str) -> str:
    """The line in capitals, with plain digits, hyphens, spaces and signs."""
    signs = str.maketrans("‐‑‒–—−×", "------X")
    return " ".join(unicodedata.normalize("NFKC", text).translate(signs).upper().split())


def tokens_in(line: str, preferred: CodeSystem | None) -> list[Token]:
    """The tokens of a tidied line in order of place, none over another. What names its system goes first."""
    taken = _Taken()
    for pattern in (_SPN_FMI, _SPN_THEN, _SHORT):
        taken.add(Mark.SPN_PAIR, pattern, line)
    taken.add(Mark.SPN, _SPN, line)
    taken.add(Mark.FMI, _FMI, line)
    taken.add(Mark.OBD, _OBD, line)
    taken.add(Mark.FLASH, _FLASH, line)
    for status, pattern in _STATUSES:
        taken.add(Mark.STATUS, pattern, line, status)
    for pattern in _COUNTS:
        taken.add(Mark.COUNT, pattern, line)
    _add_bare_pairs(taken, line, preferred)
    _add_bare_count(taken, line, preferred)
    return taken.in_order()


def _add_bare_count(taken: "_Taken", line: str, preferred: CodeSystem | None) -> None:
    """The 3 of "P0217 stored 3": a number that ends a line with one code, right after that code's status.

    After anything else, or where it is too large for a count, such a number is kept as unclear rather than dropped.
    """
    tokens = taken.in_order()
    codes = sum(1 + len(re.findall("[,;]", token.values[0])) for token in tokens if token.mark in _WHOLE_CODES)
    match = _LAST_NUMBER.match(line, tokens[-1].end) if tokens else None
    if match is None:
        return
    after_status = tokens[-1].mark is Mark.STATUS
    if not codes and preferred in (CodeSystem.FLASH, CodeSystem.MAKER) and after_status:
        before = line[: tokens[-1].start]
        codes = 1 if re.search(r"[0-9]", before) and not re.search(r"[,;]", before) else 0
    if codes and tokens[-1].mark in (Mark.STATUS, Mark.OBD):
        is_count = after_status and codes == 1 and int(match[1]) <= _MOST_BARE_COUNT
        taken.add_match(Mark.COUNT if is_count else Mark.UNCLEAR_NUMBER, match, (match[1],))


def _add_bare_pairs(taken: "_Taken", line: str, preferred: CodeSystem | None) -> None:
    """Pairs such as 110-0: an SPN with FMI, unless the line names another code or something else is as likely."""
    if preferred in (CodeSystem.FLASH, CodeSystem.MAKER):
        return
    named = taken.has_code()
    for match in _PAIR.finditer(line):
        unclear = named or (preferred is not CodeSystem.SPN and pair_could_be_else(*match.groups()))
        taken.add_match(Mark.UNCLEAR_PAIR if unclear else Mark.SPN_PAIR, match, (match[1], match[3]))
    if preferred is CodeSystem.SPN and not named:
        taken.add(Mark.SPN_PAIR, _POINTED, line)


class _Taken:
    """Tokens so far, and the places they stand on."""

    def __init__(self) -> None:
        self._tokens: list[Token] = []
        self._places: set[int] = set()

    def add(self, mark: Mark, pattern: re.Pattern[str], line: str, status: CodeStatus | None = None) -> None:
        for match in pattern.finditer(line):
            self.add_match(mark, match, tuple(group for group in match.groups() if group), status)

    def add_match(
        self, mark: Mark, match: re.Match[str], values: tuple[str, ...], status: CodeStatus | None = None
    ) -> None:
        places = range(match.start(), match.end())
        if self._places.isdisjoint(places):
            self._places.update(places)
            self._tokens.append(Token(mark, match.start(), match.end(), match[0], values, status))

    def has_code(self) -> bool:
        return any(token.mark not in (Mark.STATUS, Mark.COUNT) for token in self._tokens)

    def in_order(self) -> list[Token]:
        return sorted(self._tokens, key=lambda token: token.start)
