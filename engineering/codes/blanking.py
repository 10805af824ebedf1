"""A line of words with some of it left out, and what is left then."""

import re

from engineering.codes.code import CodeStatus
from engineering.codes.records import Line
from engineering.codes.tokens import Mark, Token
from engineering.codes.vocabulary import EMPTY_LIST, NO_CODES, NONE_ELSEWHERE, NOUN, STATUSES, status_of

_BLANKED = (Mark.STATUS, Mark.NO_STATUS, Mark.STATUS_LETTER, Mark.COUNT, Mark.UNCLEAR_COUNT, Mark.UNCLEAR_PAIR)
_PLAIN_ERRORS = re.compile(r"(?<![A-Z])(?:ERRORS?|TROUBLES?)(?![A-Z])")
"""Programs and radios count errors too: that there are none says nothing of codes."""
_OTHER_KEYS = re.compile(
    r"(?<![A-Z])(?:CLEARED|ERASED|OLD|KEY|PART|ZIP|AREA|DATE|BAR|PAINT|COLOU?R|SUPPORTED)(?![A-Z])"
)
_LONGEST_DATA = 300
_FLAG_END = re.compile(r"[:=] ?(?:NO|N|FALSE|NEIN|NON|NEE|NEJ|NEI|NAO|EI)\W*$")
_NONE_ALONE = re.compile(rf"\W*(?:NONE|(?:{NONE_ELSEWHERE})\W*$)(?![A-Z])")
_LEADS_TO_NONE = re.compile(
    r"^\W*(?:(?:DIAGNOSTIC |FULL |QUICK )?(?:SCAN|READ-?OUT|READING|DIAGNOSIS)(?: IS)? (?:COMPLETED?|DONE|FINISHED|OK)"
    r"|(?:MIL|CHECK ENGINE)(?: LAMP| LIGHT)?(?: IS)?[ :=]{1,3}OFF|RIEN A SIGNALER)[.,:;!-]+ ?(?=[A-Z0-9])"
)
"""A sentence of its own that changes nothing in the one after it, that there are no codes."""
_UNTICKED = re.compile(r"^\W{0,3}(?:\[ ?\]|\( ?\)|[☐□❏])|(?:\[ ?\]|[☐□❏])\W{0,3}$")
"""A box without a tick before or behind what a form offers."""
_ASKED_OR_NOTED = re.compile(r"\?|^[^*]*[A-Z0-9)] ?\*+\W*$")
"""A question says nothing, and a star at the end leads to a note that may say otherwise."""
_PLURAL = re.compile(r"(?<=[A-Z])\((S|ES|N|E)\)")
_ANYTHING = re.compile(r"[A-Z0-9]")


def with_bars(raw: str) -> str:
    """Cells of a table parted by a sign that stays once blanks are put together."""
    return raw.strip("\t").replace("\t", " | ") if "\t" in raw.strip("\t \r\n") else raw


def untidied(raw: str) -> str:
    """The line as it came, but for what no one sees at its ends."""
    return raw.strip("\ufeff\r\n")


def blanked(line: str, tokens: list[Token]) -> str:
    """The line with its statuses and counts blanked out, so that their words are not taken for a sentence's."""
    signs = list(line)
    for token in tokens:
        if token.mark in _BLANKED:
            signs[token.start : min(token.end, len(signs))] = " " * (min(token.end, len(signs)) - token.start)
    return "".join(signs)


def no_codes(line: str) -> list[CodeStatus] | None:
    """The statuses that a line says there is no code of; None where it says no such thing."""
    empty = EMPTY_LIST.search(line) if "[]" in line and len(line) <= _LONGEST_DATA else None
    if empty and not _PLAIN_ERRORS.search(empty["key"]) and not _OTHER_KEYS.search(empty["key"]):
        return [status_of(match) for match in STATUSES.finditer(empty["key"].replace("_", " "))]
    if len(line) > 120 or _UNTICKED.search(line) or _ASKED_OR_NOTED.search(line):
        return None
    line = _PLURAL.sub(r"\1", _LEADS_TO_NONE.sub("", line))
    statuses = [status_of(match) for match in STATUSES.finditer(line)]
    plain = STATUSES.sub(" STATUS ", line) if statuses else line
    plain = " ".join(plain.split())
    match = next((found for pattern in NO_CODES if (found := pattern.match(plain))), None)
    if match is None:
        return None
    rest = match.groupdict().get("rest")
    if _PLAIN_ERRORS.search(line) and not NOUN.search(_PLAIN_ERRORS.sub(" ", line)):
        return None
    says_codes = NOUN.search(rest if rest is not None else line)
    is_flag = rest is None and _FLAG_END.search(line) is not None
    is_of_else = not says_codes and (is_flag or not statuses) and not _NONE_ALONE.match(line)
    return None if is_of_else or (is_flag and not statuses) else statuses


def is_bare(line: Line) -> bool:
    """Whether nothing but codes stands in a line."""
    signs = list(blanked(line.text, line.tokens))
    for token in line.tokens:
        signs[token.start : token.end] = " " * (token.end - token.start)
    return not _ANYTHING.search("".join(signs[: len(line.text)]))


def is_set_off(raw: str) -> bool:
    """Whether a line is written as a heading: between signs, or after #."""
    return bool(re.match(r"\s*(?:[#=*\[<_~]|--)", raw))
