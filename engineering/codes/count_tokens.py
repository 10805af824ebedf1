"""The counts in a line of words, and the numbers that may be one."""

import re

from engineering.codes.code import CodeSystem
from engineering.codes.spn import COUNT_NOT_AVAILABLE
from engineering.codes.tokens import WHOLE_CODES, Mark, Taken
from engineering.codes.vocabulary import COUNT_AFTER, COUNT_WORDS

_COUNTED = re.compile(rf"(?<![A-Z0-9])({COUNT_WORDS})[ :=#.\"']{{0,4}}([0-9]{{1,6}})(?![\w/]|[.,:-][0-9])")
_TIMES_BEFORE = re.compile(r"(?<![\w.])[X*] ?([0-9]{1,6})(?![\w/]|[.,][0-9])")
_TIMES_AFTER = re.compile(
    rf"([0-9](?<![\w.,/:-].)[0-9]{{0,5}}) ?(?:{COUNT_AFTER})(?![A-Z0-9])"
    r"(?! ?[0-9](?![0-9.,]{0,8} ?(?:H|HRS?|HOURS?|STD|BH)(?![A-Z])))"
)
_NUMBER_CODE = re.compile(r"\W*(?:[A-Z]{2,8} ){0,2}[0-9-]{1,7} ?")
"""A flash code that begins its line, before its count."""
_ABOUT = re.compile(
    r"(?:(?<![A-Z])(?:OR|THAN|LEAST|MOST|ABOUT|APPROX\.?|UP TO|TO|ALMOST|NEARLY|MAX|MIN|EVERY|OF"
    r"|CA\.?)|[><~+]|[0-9][XH]? ?-|-(?! )) ?$"
)
_MORE_OR_LESS = re.compile(r" ?\+| OF [0-9]| (?:OR|TO) [0-9]")
_SINCE_CLEAR = re.compile(r"(?<![A-Z0-9])COUNTS? SINCE (?:LAST )?CLEAR[ :=]{1,3}([0-9]{1,6})(?![\w.])")
_OTHER_COUNT = re.compile(
    r"(?:CYCLES?|WARM-?UPS?|IGNITION|KEY|AGING|AGEING|START|TRIP|DRIVE|FRAME|FREEZE|PULSE|TOOTH|CYLINDER|HOUR|BOLT"
    r"|PIN|WIRE|BOAT"
    r"|ENGINE|ZYLINDER|INJECTION|STEP|RETRY|BIT|BYTE|MISFIRE|LINE|PAGE|NUMBER OF CODES|CODE|FAULTS?|DTC)[ -]?$"
)
_COUNT_UNKNOWN = re.compile(rf"(?<![A-Z0-9])(?:{COUNT_WORDS}) ?[:=] ?(?:N/?A|UNKNOWN|NOT AVAILABLE|-+)(?![A-Z0-9])")
_ODD_COUNT = re.compile(rf"(?<![A-Z0-9])(?:{COUNT_WORDS})(?: ?[:=#] ?| )([0-9][0-9.,]{{0,15}}[0-9])(?![\w/:-])")
"""A number beside a word for a count that is none as written: "count 3.5", "count 1,200"."""
_LAST_NUMBER = re.compile(r"(?! ?[,;] ?[,;])[ ,;:=-]{1,3}([0-9]{1,6})[ .,;]*$")
"""A bare number at the end of a line, right after its last token; behind an empty cell it may be anything."""
_NUMBER_BETWEEN = re.compile(r" ([0-9]{1,3})(?= [0-9])")
"""A bare number between a status and another number."""
_MOST_BARE_COUNT = 255
_LETTERS = re.compile(r"[A-Z]{2}")


def add_counts(taken: Taken, line: str, *, is_number_code: bool) -> None:
    """The numbers beside a word for a count; what is a count of something else, or only about one, is unclear."""
    has_letters, has_x = _LETTERS.search(line), "X" in line
    if "CLEAR" in line:
        taken.add(Mark.COUNT, _SINCE_CLEAR, line)
    if has_letters and (":" in line or "=" in line):
        taken.add(Mark.UNCLEAR_COUNT, _COUNT_UNKNOWN, line)
    for match in _COUNTED.finditer(line) if has_letters else ():
        other = _OTHER_COUNT.search(line, max(0, match.start() - 20), match.start())
        other = other or _MORE_OR_LESS.match(line, match.end())
        is_unclear = other is not None or _is_beyond(match, line)
        taken.add_match(Mark.UNCLEAR_COUNT if is_unclear else Mark.COUNT, match, (match[2],))
    if has_letters:
        taken.add(Mark.UNCLEAR_COUNT, _ODD_COUNT, line)
    for match in _TIMES_BEFORE.finditer(line) if has_x or "*" in line else ():
        digit = re.search(r"[0-9](?:[\"'/]| ?(?:IN|MM|CM|FT))? ?$", line[max(0, match.start() - 6) : match.start()])
        is_first = is_number_code and match[0][1:2] != " " and _NUMBER_CODE.fullmatch(line[: match.start()])
        if not digit or taken.covers(match.start() - 2) or is_first:
            taken.add_match(Mark.COUNT, match, (match[1],))
    for match in _TIMES_AFTER.finditer(line) if has_x or has_letters else ():
        about = _ABOUT.search(line, max(0, match.start() - 12), match.start())
        taken.add_match(Mark.UNCLEAR_COUNT if about else Mark.COUNT, match, (match[1],))


def _is_beyond(match: re.Match[str], line: str) -> bool:
    """Whether an occurrence count of a SPN is more than its seven bits hold (SAE J1939-73): 255 is no count then."""
    return match[1] == "OC" and int(match[2]) > COUNT_NOT_AVAILABLE and "SPN" in line


def add_bare_count(taken: Taken, line: str, preferred: CodeSystem | None) -> None:
    """The 3 of "P0217 stored 3": a number that ends a line with one code, right after that code's status.

    After anything else, or where it is too large for a count, such a number is kept as unclear rather than dropped.
    """
    tokens = taken.in_order()
    codes = sum(1 + len(re.findall("[,;]", token.values[0])) for token in tokens if token.mark in WHOLE_CODES)
    match = _LAST_NUMBER.match(line, tokens[-1].end) if tokens else None
    after_status = bool(tokens) and tokens[-1].mark is Mark.STATUS
    if match is None:
        if codes and after_status and (between := _NUMBER_BETWEEN.match(line, tokens[-1].end)):
            taken.add_match(Mark.UNCLEAR_COUNT, between, (between[1],))
        return
    if not codes and preferred in (CodeSystem.FLASH, CodeSystem.MAKER) and after_status:
        before = line[: tokens[-1].start]
        codes = 1 if re.search(r"[0-9]", before) and not re.search(r"[,;]", before) else 0
    if codes and tokens[-1].mark in (Mark.STATUS, Mark.NO_STATUS, Mark.OBD):
        is_count = after_status and codes == 1 and int(match[1]) <= _MOST_BARE_COUNT
        taken.add_match(Mark.COUNT if is_count else Mark.UNCLEAR_NUMBER, match, (match[1],))
