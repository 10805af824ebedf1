"""Labels within a line: behind "Active: P0118; previous: P0113" the second list is none of active codes."""

import re
from dataclasses import dataclass

from engineering.codes.assessing_words import LEAD_OK
from engineering.codes.headings import without_units
from engineering.codes.vocabulary import HEADING_WORD, NOUN, SCAN_NOUN, UNSURE_STATUS

_LABEL = re.compile(r"(?<![A-Z0-9])([A-Z][A-Z'_ -]{1,40})[\"']{0,2} ?[:=][\s\[({<\"']*$")
_UNSURE = re.compile(rf"(?<![A-Z0-9])({UNSURE_STATUS.pattern})(?: ?{NOUN.pattern})?[ \"'(\[]*$")
_PARTS = re.compile(r"(?<![A-Z])((?:[A-Z]{1,14} )?(?:PARTS?|P/N|PN|KITS?|ITEMS?|ORDER(?:ED)?))[ :#=]*$")
_PLAIN = re.compile(
    r"NAME|VALUE|TEXT|KEY|TYPE|ITEM|SPN|FMI|DTC|ID|SYSTEM|CAUSE|AND|ALSO|THEN|FIRST|SECOND|THIRD|NEXT|LAST"
)
"""Keys and words that lead to the next code of the same list. Common practice, no source."""
_MOST = 80


@dataclass(frozen=True, slots=True)
class OtherList:
    """What another list of a line is called. ``is_status``: by a word for a status that may mean more than one."""

    name: str
    is_status: bool = False


def other_list(between: str) -> OtherList | None:
    """The list that begins between two codes of a line; None where the one before goes on.

    ``between`` is tidied and has no status in it. A label of an engine or unit, or of the code itself, begins none.
    """
    between = between[-_MOST:]
    if unsure := _UNSURE.search(between):
        return OtherList(unsure[1], is_status=True)
    if parts := _PARTS.search(between):
        return OtherList(parts[1])
    label = _LABEL.search(without_units(between)) if ":" in between or "=" in between else None
    if label is None or _leads_on(label[1]):
        return None
    unsure = UNSURE_STATUS.search(label[1])
    return OtherList(unsure[0], is_status=True) if unsure else OtherList(label[1].strip())


def _leads_on(label: str) -> bool:
    """Whether a label is of the next code of the same list."""
    if UNSURE_STATUS.search(label):
        return False
    if NOUN.search(label.replace("_", " ")):
        return True
    plain = (HEADING_WORD, SCAN_NOUN, LEAD_OK, _PLAIN)
    return all(any(words.fullmatch(word) for words in plain) for word in re.findall("[A-Z]+", label))
