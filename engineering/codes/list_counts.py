"""How many codes a line says that its list has, beside how many were read of it. Common practice, no source."""

import re
from collections.abc import Sequence

from engineering.codes.headings import without_units
from engineering.codes.vocabulary import NOUN, NOUNS, STATUSES

_MANY = (
    r"CODES|DTCS|FAULTS|TROUBLES|ERRORS|FEHLER(?:CODES)?|STORUNGEN|DEFAUTS|ERREURS|CODIGOS|FALLAS|FALLOS|CODICI|ERRORI"
)
_CODE, _STATUS = "§", "@"
_NUMBER = "[0-9]{1,3}"
_BEFORE = (
    rf"(?:^[^\w{_CODE}]*|(?<![0-9])[:;,(\[|=] ?|{_STATUS} )(?P<before>{_NUMBER}) (?:{_STATUS} )?"
    rf"(?:DIAGNOSTIC |TROUBLE )?(?:{NOUNS})(?![A-Z])"
)
_BRACKETED = rf"(?:{_STATUS}(?: (?:{NOUNS}))?|(?<![A-Z])(?:{_MANY})) ?[(\[] ?(?P<bracketed>{_NUMBER}) ?[)\]](?= ?[:=-])"
_BEHIND = rf"(?<![A-Z])(?:{_MANY}|(?:{NOUNS}) COUNT) ?[:=] ?(?P<behind>{_NUMBER})(?= ?[,;|.-]? ?{_CODE})"
_SAID = re.compile(f"{_BEFORE}|{_BRACKETED}|{_BEHIND}")
_IN_ALL = re.compile(
    rf"(?P<before>{_NUMBER}) (?:(?:{_MANY}) )?(?:IN )?(?:TOTAL|ALL)\W*"
    rf"|TOTAL ?[:=]? ?(?P<bracketed>{_NUMBER})(?P<behind>)\W*"
)
_OF_LAMP_LINE = re.compile(rf"(?<![A-Z])(?:{NOUNS})(?: COUNT)? ?[:=] ?([0-9]{{1,3}})(?![0-9A-Z.,/:-])")


def count_differs(line: str, places: Sequence[tuple[int, int]]) -> str:
    """What to say where a tidied line counts its codes, and not as many were read in it; else empty.

    ``places`` are start and end of the codes of the line, in order; several may share one. Of several lists with a
    count, it speaks of the first that differs.
    """
    if NOUN.search(line) is None and STATUSES.search(line) is None and "TOTAL" not in line:
        return ""
    plain = without_units(STATUSES.sub(_STATUS, _with_signs(line, places)))
    lists = [
        found
        for number, found in enumerate(_SAID.finditer(plain))
        if _CODE not in plain[: found.start()] or (number and _STATUS in plain[max(0, found.start() - 2) : found.end()])
    ]
    for number, found in enumerate(lists):
        end = lists[number + 1].start() if number + 1 < len(lists) else len(plain)
        if told := _differs(found, plain[found.end() : end].count(_CODE)):
            return told
    last = plain[plain.rfind(_CODE) + 1 :].strip(" (),;:-[")
    in_all = None if lists else _IN_ALL.fullmatch(last)
    return _differs(in_all, plain.count(_CODE)) if in_all else ""


def count_of_lamp_line(line: str) -> int | None:
    """How many codes a tidied line about lamps says that there are, or None: "MIL ON, DTC COUNT: 2"."""
    found = _OF_LAMP_LINE.search(line)
    return int(found[1]) if found else None


def _with_signs(line: str, places: Sequence[tuple[int, int]]) -> str:
    """The line with one sign for each code."""
    parts, end = [], 0
    for start, behind in places:
        parts += [line[end:start] if start >= end else "", _CODE]
        end = max(end, behind)
    return "".join((*parts, line[end:]))


def _differs(found: re.Match[str], read: int) -> str:
    said = int(found["before"] or found["bracketed"] or found["behind"])
    if said == read or not (said and read):
        return ""
    return f"It says {said}, and {read} {'was' if read == 1 else 'were'} read in the line."
