"""Codes whose parts stand on lines of their own: SPN and FMI, a status or a count, lines that were wrapped."""

import re
from dataclasses import dataclass, field

from engineering.codes.code import CodeStatus
from engineering.codes.lines import Draft
from engineering.codes.tokens import CODE_MARKS, MAY_NUMBER_A_RECORD, Mark, Token
from engineering.codes.vocabulary import COUNT_WORDS, FLAG, STATUSES, status_alone, status_of
from engineering.codes.wordings import DESCRIPTION

_STATUS_KEY = re.compile(
    r"[^A-Z0-9]*+(?:(?:FAULT |CODE |DTC )?(?:STATUS|STATE)|ZUSTAND|ETAT|STATUT|ESTADO|STATO|TOESTAND|TILSTAND"
    r"|TILLSTAND|TILA) ?[:=] ?(.{1,40})"
)
_COUNT_KEY = re.compile(rf"[^A-Z0-9]*+(?:{COUNT_WORDS})(?: COUNT)?[ :=]{{1,3}}([0-9]{{1,6}})")
_SPN_KEY = re.compile(r"[^A-Z0-9]*+SPN[ :=#.]{0,3}([0-9]{1,9})[^A-Z0-9]*")
_FMI_KEY = re.compile(r"[^A-Z0-9]*+FMI[ :=#.]{0,3}([0-9]{1,4})[^A-Z0-9]*")
_NAME_ALONE = re.compile(r"[^A-Z0-9]*+(?:SPN|FMI)[ :=]*")
_OTHER_KEY = re.compile(
    r"[^A-Z0-9]*+(?:DESC(?:RIPTION)?|NAME|TEXT|TITLE|MEANING|CM|CONVERSION METHOD|BESCHREIBUNG|DESCRIPCION"
    r"|DESCRIZIONE|LAMP|SEVERITY|SYSTEM|PRIORITY) ?[:=].*"
)
_IS_WORDS = re.compile("[A-Z ]+")
"""A line without a sign in it: with one, or with a number, it may be a heading."""
BELONGS = "Belongs to the code above or below it."
JOINED_IN_DOUBT = (
    "Not understood: no code, status, lamp or frame known here. It was read together with the line above, in case it "
    "goes on from there. The text is kept."
)
_OPEN_END = re.compile(
    r"(?<![A-Z])(?:NO|NOT|OF|THE|A|AND|OR|FOR|WITH|WITHOUT|IS|WAS|ARE|SET|HAD|THAT|ANY|CLEARED|NEVER|OLD|LAST|PART)$"
)
"""The end of a line that goes on in the next one."""
_OF_ALL = re.compile(r"\W*(?:BOTH|ALL|ALLE|BEIDE|TOUS|TOUTES|TODOS|TODAS|TUTTI|TUTTE|ALLA|BADA|BEGGE|KAIKKI)(?![A-Z])")
"""What begins a line that speaks of every code above it, and goes on from none."""
_LONGEST_OPEN_END = 8
_LONG_ENOUGH_TO_BREAK = 50


@dataclass(slots=True)
class Line:
    """One line of words: what it is once tidied, its tokens, and what other lines said of its code."""

    draft: Draft
    text: str
    tokens: list[Token] = field(default_factory=list)
    indent: int = 0
    block: int = 0
    is_blank: bool = False
    is_frame: bool = False
    is_done: bool = False
    before: str = ""

    @property
    def codes(self) -> int:
        """How many codes its tokens make, at least."""
        marks = [token.mark for token in self.tokens]
        return len([mark for mark in marks if mark in CODE_MARKS and mark is not Mark.FMI])

    def add(self, mark: Mark, raw: str, values: tuple[str, ...] = (), status: CodeStatus | None = None) -> None:
        """A token from another line, after all that stand in this one."""
        at = max([len(self.text), *(token.end for token in self.tokens)]) + 1
        self.tokens.append(Token(mark, at, at, raw, values, status, named=mark is Mark.FMI))


def put_together(block: list[Line]) -> None:
    """Give each code of a block what the lines around it say of it alone."""
    _drop_record_keys(block)
    kinds = [_kind(line) for line in block]
    for at in range(1, len(block)):
        if kinds[at] == "other" and kinds[at - 1] in ("fmi", "count") and _flag(block[at].text, digits=True):
            kinds[at] = "status"
    if not any(kind in ("status", "count", "fmi") for kind in kinds):
        return
    _halves(block, kinds)
    for wanted in ("status", "count"):
        _attach(block, kinds, wanted)
    first = next((at for at, kind in enumerate(kinds) if kind == "code"), len(block))
    for line, kind in zip(block[first:], kinds[first:], strict=True):
        if kind == "other" and _OTHER_KEY.fullmatch(line.text):
            _belongs(line)


def put_in_turns(blocks: list[list[Line]]) -> None:
    """Give each code the status on the line below it, where all codes of a text are followed by one in that way.

    Of one list alone that might be the heading of the next code.
    """
    pairs: list[tuple[Line, Line]] = []
    for block in blocks:
        if not any(line.codes for line in block):
            continue
        if len(block) % 2 or not all(map(_is_turn, block[::2], block[1::2])):
            return
        pairs += zip(block[::2], block[1::2], strict=True)
    for code, said in pairs:
        _give(code, said, "status")


def _is_turn(code: Line, said: Line) -> bool:
    is_open = code.codes == 1 and all(token.mark in CODE_MARKS for token in code.tokens)
    return is_open and not said.codes and _IS_WORDS.fullmatch(said.text) is not None and _says_status(said.text)


def _says_status(text: str) -> bool:
    return status_alone(text) is not None


def _drop_record_keys(block: list[Line]) -> None:
    """What may only number a record is no code where another line of it names one."""
    numbered = [line for line in block if any(token.doubt == MAY_NUMBER_A_RECORD for token in line.tokens)]
    if numbered and sum(line.codes > 0 for line in block) > len(numbered):
        for line in numbered:
            line.tokens = [token for token in line.tokens if token.doubt != MAY_NUMBER_A_RECORD]


def _kind(line: Line) -> str:
    if _FMI_KEY.fullmatch(line.text):
        return "fmi"
    if line.codes:
        return "code"
    if _STATUS_KEY.fullmatch(line.text) or _flag(line.text) is not None:
        return "status"
    return "count" if _COUNT_KEY.fullmatch(line.text) else "other"


def _flag(text: str, *, digits: bool = False) -> tuple[CodeStatus, str] | None:
    """A status with yes or no as a whole line: "active: no"; with ``digits`` also "active=0", in a record of keys."""
    match = STATUSES.match(text.lstrip(" -*"))
    flag = FLAG.fullmatch(text.lstrip(" -*"), match.end()) if match else None
    if match is None or flag is None:
        return None
    if (flag["digit"] or flag["no"] == "0") and not (digits and "=" in flag[0]):
        return None
    return status_of(match), "yes" if flag["yes"] or flag["digit"] else "no"


def _halves(block: list[Line], kinds: list[str]) -> None:
    """An SPN on a line of its own takes the FMI on one of the next five, if no other code comes between."""
    for at, line in enumerate(block):
        if kinds[at] != "code" or not _SPN_KEY.fullmatch(line.text):
            continue
        for next_at in range(at + 1, min(at + 6, len(block))):
            if kinds[next_at] == "code":
                break
            if kinds[next_at] == "fmi":
                match = _FMI_KEY.fullmatch(block[next_at].text)
                line.add(Mark.FMI, f"FMI {match[1]}" if match else "", (match[1],) if match else ())
                for between in range(at + 1, next_at + 1):
                    if kinds[between] in ("fmi", "other"):
                        _belongs(block[between])
                break


def _attach(block: list[Line], kinds: list[str], wanted: str) -> None:
    """Statuses or counts on lines of their own: to the code before them, or after them where they come first."""
    first_said = next((at for at, kind in enumerate(kinds) if kind == wanted), -1)
    first_code = next((at for at, kind in enumerate(kinds) if kind == "code"), -1)
    if first_said < 0 or first_code < 0:
        return
    said_last = next(at for at in range(len(kinds) - 1, -1, -1) if kinds[at] in (wanted, "code"))
    if first_said < first_code and kinds[said_last] == wanted:
        return
    order = range(len(block)) if first_said < first_code else range(len(block) - 1, -1, -1)
    held: Line | None = None
    for at in order:
        if kinds[at] == wanted:
            held = block[at]
        elif kinds[at] == "code" and held is not None:
            if block[at].codes == 1 and not any(token.mark.name == wanted.upper() for token in block[at].tokens):
                _give(block[at], held, wanted)
            held = None


def _give(code: Line, said: Line, wanted: str) -> None:
    if wanted == "count":
        match = _COUNT_KEY.fullmatch(said.text)
        code.add(Mark.COUNT, said.text, (match[1],) if match else ())
        _belongs(said)
        return
    flag = _flag(said.text, digits=True)
    match = _STATUS_KEY.fullmatch(said.text)
    status = flag[0] if flag else status_alone(match[1] if match else said.text)
    if status is None or (flag and flag[1] == "no"):
        code.add(Mark.NO_STATUS, said.text, (), status)
    else:
        code.add(Mark.STATUS, said.text, (), status)
    _belongs(said)


def _belongs(line: Line) -> None:
    line.draft.set("note", BELONGS)
    line.is_done = True


def ends_open(text: str) -> bool:
    """Whether a line ends in a word that goes on in the next one."""
    return _OPEN_END.search(text, max(0, len(text) - _LONGEST_OPEN_END)) is not None


def joins(above: Line, line: Line) -> bool:
    """Whether a line goes on from the one above: a name without its number, or a code's text that was wrapped."""
    if _NAME_ALONE.fullmatch(above.text):
        return bool(line.text.isascii() and line.text.isdigit())
    if _OF_ALL.match(line.text):
        return False
    if not above.codes or line.codes or line.text.endswith(":") or above.text[-1:] in ".:;":
        return False
    if any(token.mark is Mark.STATUS for token in above.tokens) or _kind(line) != "other":
        return False
    raw = line.draft.text.strip()
    is_lower = raw[:1].islower() and not status_alone(line.text)
    return line.indent > above.indent or (is_lower and above.indent == line.indent)


def goes_on(above: Line, line: Line) -> bool:
    """Whether a line that joins the one above surely belongs to it.

    The line above waits for a number, or was broken off: it is long, or ends in a word that cannot end a sentence; or
    this line is set in below it, or has the words of a code. Words in small letters alone may as well be a note.
    """
    if _NAME_ALONE.fullmatch(above.text) or line.indent > above.indent or DESCRIPTION.search(line.text):
        return True
    is_long = len(above.draft.text.strip()) >= _LONG_ENOUGH_TO_BREAK
    return is_long or above.text[-1:] in ",-" or ends_open(above.text)
