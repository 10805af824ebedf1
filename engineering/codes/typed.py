"""What a person types where the maker's own codes are usual: nearly any word could be one of them."""

import re

from engineering.codes.code import CodeSystem
from engineering.codes.standing_words import DENIED_BEFORE
from engineering.codes.text_tokens import tokens_in
from engineering.codes.vocabulary import tidied

_MEASURE = re.compile(
    r"[0-9.,]+ ?(?:V|VOLTS?|MV|A|AMPS?|PSI|BAR|KPA|MPA|C|F|DEG|RPM|H|HRS?|HOURS?|MIN|S|SEC|GAL|L|FT|IN|MM|CM|NM|LB"
    r"|KG|KT|MPH|TIMES"
    r"|CODES?|FAULTS?|X)|(?:19|20)[0-9]{2}-[0-9]{1,2}-[0-9]{1,2}|[0-9]{1,2}:[0-9]{2}"
    r"|[0-9]{1,2}/[0-9]{1,2}(?:/[0-9]{2,4})?"
    r"|[0-9.]+X[0-9.]+|555-[0-9]{4}"
)
_HEX_BYTES = re.compile(r"(?:[0-9A-F]{2,8} ){4,}[0-9A-F]{2}")
_TO = re.compile(r"(?<![A-Z0-9])(?:TO|WAS|AND|OR|CLEARED|GONE|NONE|RULED OUT|CODES?|FAULTS?)(?![A-Z0-9])")


def says_more_than_a_code(text: str) -> bool:
    """Whether a typed text is more, or something else, than one of the maker's own codes.

    Without a digit, with a status, a count, a denial or another system's code in it, or written as a measure, a date
    or a time, it is only taken for the maker's code where a person says so.
    """
    line = tidied(text)
    if not re.search(r"[0-9]", line) or _MEASURE.fullmatch(line) or _HEX_BYTES.fullmatch(line):
        return True
    return bool(tokens_in(line, CodeSystem.MAKER) or DENIED_BEFORE.search(line) or _TO.search(line))
