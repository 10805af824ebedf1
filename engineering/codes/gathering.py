"""The lines of a text in words, gathered before they are read: what goes on, and what stands together."""

import re

from engineering.codes.blanking import blanked, no_codes, with_bars
from engineering.codes.code import CodeSystem
from engineering.codes.first_words import first_word
from engineering.codes.headings import heading_of
from engineering.codes.lines import Draft
from engineering.codes.markup import without_markup
from engineering.codes.records import JOINED_IN_DOUBT, Line, ends_open, goes_on, joins, put_in_turns, put_together
from engineering.codes.tables import is_rule
from engineering.codes.text_tokens import tokens_in
from engineering.codes.tokens import Mark
from engineering.codes.vocabulary import tidied
from engineering.codes.wordings import lamps_in

_NUMBERED_FIELD = re.compile(
    r"(?<![A-Z0-9_.])(?:[A-Z]{2,8}[_.])?(?:DTC|CODE|FAULT)S?[_.]?(?P<number>[0-9]{1,3})[_.](?P<name>SPN|FMI|OC|COUNT|STATUS)"
    r"(?= ?[:=])"
)
_NUMBERED_CODE = re.compile(
    r"\W*(?:DTC|CODE|FAULT) ?#?(?P<number>[0-9]{1,3}) ?[:=] ?(?:[PCBU][0-3][0-9A-F]{3}|SPN|[0-9]{1,6}[-/][0-9])"
)
_SAID_OF_NUMBERED = re.compile(
    r"\W*(?:DTC|CODE|FAULT) ?#?(?P<number>[0-9]{1,3}) (?P<name>STATUS|STATE|COUNT|OCCURRENCES?)(?= ?[:=])"
)
_COUNT_COLUMN = re.compile(
    r"\s{0,8}(?P<code>[PCBUpcbu][0-3][0-9A-Fa-f]{3}(?:-[0-9A-Fa-f]{2})?) {2,20}(?P<number>[0-9]{1,5}) {2,20}(?=\S)"
)
_NUMBERED_LINE = re.compile(r"^([0-9]{1,2}[.)])(?=[PCBU][0-3][0-9A-F]{3}(?![A-Z0-9]))")
"""A list's number right in front of its code: "1.P0118"."""
_NAMES_FIELDS = re.compile("DTC|CODE|FAULT")
_MOST_TOKENS = 12_000


def _weight(line: Line) -> int:
    """How many codes, statuses and counts a line may hold: one of its tokens may list many flash codes."""
    listed = (token.values[0] for token in line.tokens if token.mark is Mark.FLASH)
    return len(line.tokens) + sum(one.count(",") + one.count(";") for one in listed)


class Gathering:
    """Lines in words in their order, with those that hold frames or nothing between them."""

    def __init__(self, preferred: CodeSystem | None, *, typed: bool) -> None:
        """``typed``: a person wrote these as codes, one a line."""
        self._preferred = preferred
        self._typed = typed
        self._unclean: set[int] = set()
        self._tokens = 0
        self._numbered: str | None = None
        self.lines: list[Line] = []

    def take(self, draft: Draft, *, is_frame: bool) -> None:
        """Keep a line."""
        raw = draft.text
        tidy = "" if is_frame else _NUMBERED_LINE.sub(r"\1 ", tidied(with_bars(without_markup(raw))), count=1)
        text = self._without_numbers(tidy)
        indent = len(raw) - len(raw.lstrip(" \t"))
        self.lines.append(Line(draft, text, indent=indent, is_blank=not text and not is_frame, is_frame=is_frame))

    def _without_numbers(self, text: str) -> str:
        """The names of numbered fields without what all of one code share: "dtc_1_spn: 110" is "spn: 110".

        An FMI or a status whose number is not that of the SPN before it stays as it is: it is another code's.
        """
        if not _NAMES_FIELDS.search(text):
            return text
        if numbered := _NUMBERED_CODE.match(text):
            self._numbered = numbered["number"]
        text = _SAID_OF_NUMBERED.sub(self._plain_name, text)
        if "_" not in text and "." not in text:
            return text
        return _NUMBERED_FIELD.sub(self._plain_name, text)

    def _plain_name(self, found: re.Match[str]) -> str:
        if found["name"] == "SPN":
            self._numbered = found["number"]
        return found["name"] if found["number"] == self._numbered else found[0]

    def close(self) -> None:
        """Find the codes of all lines, and put together what belongs to one."""
        self._find_tokens()
        blocks = self._blocks()
        for block in blocks:
            put_together(block)
        put_in_turns(blocks)
        self._find_unclean()

    @property
    def is_alone(self) -> bool:
        """Whether there is one line only."""
        return sum(not line.is_blank for line in self.lines) == 1

    def is_list(self, line: Line) -> bool:
        """Whether nothing but codes, headings and rules stands together with a line."""
        return line.block not in self._unclean

    def _find_tokens(self) -> None:
        above: Line | None = None
        self._set_off_counts()
        for line in self.lines:
            if line.is_blank or line.is_frame:
                above = None
                continue
            if self._tokens > _MOST_TOKENS:
                line.draft.set("unread", "Not read: the text holds too much that could be a code.", understood=False)
                line.is_done = True
                continue
            line.tokens = tokens_in(line.text, self._preferred)
            self._tokens += _weight(line)
            if above is not None and not self._typed and joins(above, line):
                belongs = goes_on(above, line)
                above.text = f"{above.text} {line.text}"
                above.tokens = tokens_in(above.text, self._preferred)
                if belongs:
                    line.draft.set("note", "Read together with the line above.")
                else:
                    line.draft.set("unknown", JOINED_IN_DOUBT, understood=False)
                line.is_done = True
                continue
            above = line

    def _set_off_counts(self) -> None:
        """Part a number in a column of its own from the code in front of it, where not all are two digits long.

        A column of two digits may as well be the failure types of the codes.
        """
        found = [(line, match) for line in self.lines if (match := _COUNT_COLUMN.match(line.draft.text))]
        if all(len(match["number"]) == 2 for _, match in found):
            return
        for line, match in found:
            if line.text:
                cells = (match["code"], match["number"], line.draft.text[match.end() :])
                line.text = tidied(" | ".join(cells))

    def _blocks(self) -> list[list[Line]]:
        blocks: list[list[Line]] = [[]]
        for line in self.lines:
            if line.is_blank or line.is_frame:
                if blocks[-1]:
                    blocks.append([])
            elif not line.is_done:
                blocks[-1].append(line)
            line.block = len(blocks)
        return blocks

    def _find_unclean(self) -> None:
        """The blocks in which something stands that is no code, no heading and no rule."""
        for line in self.lines:
            if line.is_blank or line.is_frame or line.is_done or line.codes or is_rule(line.text):
                continue
            if line.block not in self._unclean and not self._is_plain(line):
                self._unclean.add(line.block)

    def _is_plain(self, line: Line) -> bool:
        if heading_of(line.text) or lamps_in(line.text) or no_codes(line.text) is not None:
            return True
        if self._preferred in (CodeSystem.FLASH, CodeSystem.MAKER):
            found = first_word(
                blanked(line.text, line.tokens), self._preferred, under_heading=True, in_list=True, has_status=False,
                is_typed=False,
            )  # fmt: skip
            return found is not None and not found.told
        return False

    def sentence_before(self, at: int) -> str:
        """The end of the line before, where it is a sentence that goes on in this one."""
        before = self.lines[at - 1] if at else None
        if before is None or before.block != self.lines[at].block or before.is_done or before.codes:
            return ""
        is_open = before.draft.kind == "unknown" and (ends_open(before.text) or len(before.text) >= 50)
        return before.text[-60:] if is_open and before.text[-1:] not in ".:;!?=*_|\"'>" else ""
