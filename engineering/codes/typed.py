"""What a person types where the maker's own codes are usual: nearly any word could be one of them."""

import re

from engineering.codes.assessing_words import DENIED_BEFORE
from engineering.codes.code import CodeSystem
from engineering.codes.headings import is_one_of_several
from engineering.codes.notation import recognize
from engineering.codes.text_tokens import CONVERSION_METHOD, tokens_in
from engineering.codes.tokens import UNREAD_MARKS
from engineering.codes.vocabulary import COUNT_AFTER, COUNT_WORDS, tidied

_MEASURE = re.compile(
    r"[0-9.,]+ ?(?:V|VOLTS?|MV|A|AMPS?|PSI|BAR|KPA|MPA|C|F|DEG|RPM|H|HRS?|HOURS?|MIN|S|SEC|GAL|L|FT|IN|MM|CM|NM|LB"
    r"|KG|KT|MPH|TIMES"
    r"|CODES?|FAULTS?|X)|(?:19|20)[0-9]{2}-[0-9]{1,2}-[0-9]{1,2}|[0-9]{1,2}:[0-9]{2}"
    r"|[0-9]{1,2}/[0-9]{1,2}(?:/[0-9]{2,4})?"
    r"|[0-9.]+X[0-9.]+|555-[0-9]{4}"
)
_HEX_BYTES = re.compile(r"(?:[0-9A-F]{2,8} ){4,}[0-9A-F]{2}")
_TO = re.compile(r"(?<![A-Z0-9])(?:TO|WAS|AND|OR|CLEARED|GONE|NONE|RULED OUT|CODES?|FAULTS?)(?![A-Z0-9])")
_COUNTED = re.compile(
    rf"(?P<code>.*[0-9].*?)(?: (?:(?:[X*]|{COUNT_WORDS})[ :=]{{0,2}}(?P<after>[0-9]{{1,12}})"
    rf"|(?P<before>[0-9]{{1,12}}) ?(?:{COUNT_AFTER}))|(?P<joined>[X*][0-9]{{1,12}}))"
)
_BARE_X = re.compile(r"[0-9] ?X$")


def count_behind(text: str, *, chosen: CodeSystem | None = None) -> tuple[str, str]:
    """What a person typed, parted into the code and the count behind it: "110-0 x3" is "110-0" and "3".

    The count is "" where there is none. Joined to the code ("110-0x3") it is one only behind a code that no maker's
    own could be; "3x" is no count where one of the maker's own was ``chosen``, as such a code may end so.
    """
    line = tidied(text)
    match = _COUNTED.fullmatch(line)
    if match is None:
        return text, ""
    if match["joined"]:
        return (match["code"], match["joined"][1:]) if recognize(match["code"]) else (text, "")
    if match["before"] and chosen is CodeSystem.MAKER and _BARE_X.search(line):
        return text, ""
    return match["code"].strip(" ,;:"), match["after"] or match["before"]


def number_left_over(text: str, preferred: CodeSystem | None) -> str:
    """The first number in what a person typed as codes that is part of none of them: the 520 of "520 192-3"; or ""."""
    line = tidied(text)
    read = [token for token in tokens_in(line, preferred) if token.mark not in UNREAD_MARKS]
    signs = list(CONVERSION_METHOD.sub(lambda found: " " * len(found[0]), line))
    for token in read:
        signs[token.start : token.end] = " " * (token.end - token.start)
    left = re.search(r"[^\s,;()]*[0-9][^\s,;()]*", "".join(signs))
    return left[0] if left else ""


def unit_beside(text: str, preferred: CodeSystem | None) -> str:
    """The engine or unit that stands beside the codes a person typed, and nothing else with it; or ""."""
    line = tidied(text)
    signs = list(line)
    for token in tokens_in(line, preferred):
        signs[token.start : token.end] = " " * (token.end - token.start)
    rest = "".join(signs[: len(line)]).strip(" ,;:()")
    return rest if is_one_of_several(rest) else ""


def says_more_than_a_code(text: str) -> bool:
    """Whether a typed text is more, or something else, than one of the maker's own codes.

    Without a digit, with a status, a count, a denial or another system's code in it, or written as a measure, a date
    or a time, it is only taken for the maker's code where a person says so.
    """
    line = tidied(text)
    if not re.search(r"[0-9]", line) or _MEASURE.fullmatch(line) or _HEX_BYTES.fullmatch(line):
        return True
    return bool(tokens_in(line, CodeSystem.MAKER) or DENIED_BEFORE.search(line) or _TO.search(line))
