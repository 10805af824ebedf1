"""Lines in words: codes with their status and count, headings, lamps, and "no codes"."""

import re
from dataclasses import replace

from engineering.codes.above import UNCLEAR_HEADING, Above
from engineering.codes.assessing import Around, Assessment, assess_codes
from engineering.codes.blanking import blanked, is_bare, is_set_off, no_codes, untidied
from engineering.codes.code import CodeStatus, CodeSystem
from engineering.codes.code_line import FoundCode, LineOfCodes, place_of, seen_codes, seen_sentence
from engineering.codes.first_words import first_word
from engineering.codes.gathering import Gathering
from engineering.codes.headings import Heading, as_written, heading_of, units_of
from engineering.codes.j1587 import sender_alone
from engineering.codes.labels import labeled
from engineering.codes.later import doubt_all
from engineering.codes.lines import Draft
from engineering.codes.list_counts import count_differs, count_of_lamp_line
from engineering.codes.records import Line
from engineering.codes.rows import read_loose_row, read_row
from engineering.codes.rows_beside import begin_sides, read_beside
from engineering.codes.side_by_side import Sides
from engineering.codes.tables import Columns, is_rule, separator_of
from engineering.codes.tokens import CODE_MARKS, Mark, Token
from engineering.codes.vocabulary import NOUN, UNSURE_BESIDE
from engineering.codes.wordings import DESCRIPTION, EARLIER, NOW, lamps_in, says_not, why_unknown

_QUOTED = re.compile(r"[\s|]*>+\s*\S")
QUOTED_MAIL = "> …"
"""What stands above a line of somebody's earlier letter, in the way mail programs quote one."""
_OF_A_LETTER = re.compile(r".*(?<![A-Z])(?:WROTE|SCHRIEB|ECRIT|ESCRIBIO|SCRITTO|SCHREEF|ESCREVEU|SKREV|KIRJOITTI).*:")
"""How mail programs begin what they quote: "On Mon, 4 May 2026 the desk wrote:"."""
_A_NUMBER_LEFT = re.compile(r"[,;&/] ?([0-9]{1,4}(?:-[0-9]{1,2})?)(?= ?(?:$|[,;&/(.]|X ?[0-9]))")
_STRUCK = re.compile("[\u0334-\u0338]")
STRUCK_OUT = "Something in the line is struck out: check whether the code is."
_NO_ANSWER = re.compile(r"^\W*(?:NO DATA|UNABLE TO CONNECT|NO RESPONSE|TIMEOUT|SEARCHING)\b")


_LABEL_OF_LIST = re.compile(r"(?:^|[;.|]) ?([A-Z][A-Z0-9 ()-]{2,40}?) ?:")
_TOTAL = re.compile(r"\W*(?:TOTAL|[0-9]{1,3} )")
"""How a line begins that may tell the length of the list above it."""
_PRESENT_NOW = re.compile(r"(?:CODE|DTC|FAULT)S? PRESENT ?[:=]")
"""Of a list of those that are there now: of those that were there before it says nothing."""


class TextReader:
    """Reads lines in words; keeps the status of the last heading and the columns of the last table head."""

    def __init__(self, preferred: CodeSystem | None, *, typed: bool = False) -> None:
        """Start without heading or table. ``typed``: a person wrote these as codes."""
        self._preferred = preferred
        self._typed = typed
        self._gathered = Gathering(preferred, typed=typed)
        self._above = Above()
        self._is_alone = False

    def take(self, draft: Draft, *, is_frame: bool = False) -> None:
        """Keep a line: it is read once all are there, as the ones around it say what it means."""
        self._gathered.take(draft, is_frame=is_frame)

    def finish(self) -> None:
        """Read all lines that were kept."""
        self._gathered.close()
        self._is_alone = self._gathered.is_alone
        for at, line in enumerate(self._gathered.lines):
            if line.is_blank and line.draft.kind == "unknown":
                line.draft.set("blank", "")
            if line.is_blank or line.is_frame:
                self._doubt_frame(line)
                self._pass_gap()
            elif not line.is_done:
                line.before = self._gathered.sentence_before(at)
                self._read(line)
        self._above.check_expected()
        doubt_all(self._gathered.lines)

    def _doubt_frame(self, line: Line) -> None:
        """Offer only what a frame says below a line such as "example:", and take no word of it that there is none."""
        if above := self._above.earlier:
            reason = f"It stands under “{above}”: check that it is there now."
            line.draft.codes = [replace(seen, reason=seen.reason or reason) for seen in line.draft.codes]
            line.draft.no_codes = line.draft.no_codes_at_all = False

    def _pass_gap(self) -> None:
        above = self._above
        above.last_code = None
        if above.other and above.counted:
            above.other = ""

    def _read(self, line: Line) -> None:
        above = self._above
        if above.columns and self._read_row(line):
            return
        has_codes = line.codes > 0
        if not has_codes and (sides := Sides.of_head(line.draft.text)) is not None:
            begin_sides(line, sides, above)
            return
        if above.sides is not None and read_beside(line, above.sides, above, self._preferred, self._read_codes):
            return
        head = None if has_codes else Columns.of_head(untidied(line.draft.text), line.text)
        if head is not None:
            self._read_head(line, head)
        elif is_rule(line.text):
            self._read_rule(line)
        elif any(token.mark in CODE_MARKS for token in line.tokens) and not self._is_other_list(line):
            self._read_codes(line)
        elif (sender := sender_alone(line.text)) is not None:
            self._above.sender = sender
            line.draft.set("heading", f"A heading: codes below with PID or SID and no MID are of MID {sender}.")
        elif (statuses := no_codes(line.text)) is not None:
            self._read_no_codes(line, statuses)
        elif not (self._read_loose(line) or self._read_first_word(line)):
            self._read_other(line)

    @staticmethod
    def _is_other_list(line: Line) -> bool:
        """A heading of something else in which numbers look like a pair: "Packing list 22-3"."""
        if any(token.mark in CODE_MARKS and token.named for token in line.tokens):
            return False
        heading = heading_of(line.text) if all(token.mark is not Mark.OBD for token in line.tokens) else None
        return heading is not None and bool(heading.other)

    def _read_row(self, line: Line) -> bool:
        above = self._above
        assert above.columns is not None  # noqa: S101  (asked before)
        if is_rule(line.text):
            line.draft.set("heading", "A rule of the table.")
            return True
        if above.columns.has_codes:
            row = above.columns.row(untidied(line.draft.text))
            if row is not None and read_row(
                line.draft,
                row,
                self._preferred,
                heading=above.status,
                unit=above.unit,
                unread=above.unread,
                is_parts=above.columns.names_parts,
                is_of_several=above.columns.names_units,
                heads=tuple(above.columns.others.values()),
            ):
                above.counted += 1
                above.keep(line.draft.codes)
                above.left_open = any(seen.status is None and not seen.unread for seen in line.draft.codes)
                return True
            if not line.codes and self._read_heading_of_table(line, above.columns):
                return True
        if not line.codes or above.columns.has_codes:
            above.columns = None
        return False

    def _read_heading_of_table(self, line: Line, columns: Columns) -> bool:
        """A status or an engine between the rows of a table: the rows below it stand in the same columns."""
        if Columns.of_head(untidied(line.draft.text), line.text) or no_codes(line.text) is not None:
            return False
        heading = None if lamps_in(line.text) else heading_of(line.text)
        if heading is None or heading.other or not (heading.status or heading.unsure or heading.unit):
            return False
        self._read_heading(line, heading)
        self._above.columns = columns
        return True

    def _read_head(self, line: Line, head: Columns) -> None:
        above = self._above
        above.columns = head if head.has_codes else None
        above.left_open, above.last_code = False, None
        if head.has_codes:
            above.other = ""
            line.draft.set("heading", f"The head of a table: {head}.")
            return
        heading = heading_of(line.text)
        above.status, above.is_heading, above.counted = None, False, 0
        above.other = heading.other if heading and heading.other else "stands in a table without a column for codes"
        line.draft.set("unknown", "The head of a table, with no column for codes.", understood=False)

    def _read_rule(self, line: Line) -> None:
        above = self._above
        if above.counted and above.is_heading:
            above.status, above.unread = None, UNCLEAR_HEADING
        line.draft.set("note", "A rule; it says nothing.")

    def _read_loose(self, line: Line) -> bool:
        """A row without a head: numbers in cells, with a status beside them."""
        return read_loose_row(line.draft, separator_of(line.draft.text), self._above.unit)

    def _read_first_word(self, line: Line) -> bool:
        """With flash or the maker's codes preferred, what stands first in the line may be the code."""
        system = self._preferred
        if system not in (CodeSystem.FLASH, CodeSystem.MAKER):
            return False
        found = first_word(
            blanked(line.text, line.tokens), system, under_heading=self._above.is_heading and not self._above.other,
            in_list=self._gathered.is_list(line), has_status=bool(line.tokens), is_typed=self._typed,
        )  # fmt: skip
        if found is None:
            return False
        if found.told:
            line.draft.set("unknown", f"“{found.text}” {found.told}.", understood=False)
            return True
        token = Token(Mark.FLASH, found.start, found.end, found.text, (found.text,), None, found.doubt, named=True)
        line.tokens = sorted([token, *line.tokens], key=lambda one: one.start)
        self._read_codes(line, system)
        if found.left_over:
            told = f"“{found.left_over}” was not read: put a comma between codes, or hyphens between blinks."
            line.draft.add(told, understood=False)
        return True

    def _read_codes(self, line: Line, flash: CodeSystem = CodeSystem.FLASH) -> None:
        above, draft, whole = self._above, line.draft, line.text
        draft.lists.update(_lists_named(whole))
        lists = labeled(line.text, line.tokens)
        line.text, line.tokens = lists.text, [token for one in lists.lists for token in one]
        if lists.none_of and not above.earlier:
            draft.no_codes = True
        reading = LineOfCodes(flash)
        for tokens in lists.lists:
            reading.read([self._with_sender(token) for token in tokens], line.text)
        inline = units_of(line.text, [(one.place.start, one.place.end) for one in reading.found])
        judged = self._assess(line, reading.found)
        unsure = UNSURE_BESIDE.search(line.text)
        heading = None if unsure else above.status
        unread = f"Status not read: “{unsure[0]}” may mean more than one." if unsure else above.unread
        told: list[str] = []
        is_doubtful = False
        places: list[tuple[int, int]] = []
        if _STRUCK.search(draft.text):
            judged = [one if one.told or one.reason else Assessment(reason=STRUCK_OUT) for one in judged]
        for one, assessed, named in zip(reading.found, judged, inline, strict=True):
            if assessed.told:
                if assessed.is_denied:
                    draft.denied.append((one.code, _written(named, line) or above.unit))
                told.append(f"“{one.raw}” {assessed.told}: not read as a code.")
                continue
            unit = _written(named, line) or above.unit
            places.append((one.place.start, one.place.end))
            draft.codes += [
                replace(seen, unread=(unread,)) if unread and seen.status is None and not seen.unread else seen
                for seen in seen_codes(one, draft.number, heading, assessed.reason, unit)
            ]
            is_doubtful = is_doubtful or assessed.reason.startswith(("It stands in a sentence", "The line says"))
        above.left_open = any(seen.status is None for seen in draft.codes)
        above.last_code = line
        above.counted += len(draft.codes)
        above.keep(draft.codes)
        said = [seen_sentence(seen) for seen in draft.codes]
        sentence = "; ".join(said) + ("." if said else "")
        understood = not (reading.problems or told or is_doubtful)
        kind = "code" if draft.codes or reading.problems else "unknown"
        draft.set(kind, " ".join([sentence, *told, *reading.problems]).strip(), understood=understood)
        if left := _left_over(line, reading.found):
            draft.add(f"“{left}” was not read: write each code in a line of its own.", understood=False)
        if told_count := count_differs(whole, places):
            draft.add(told_count, understood=False)
        if not draft.codes and not reading.found:
            self._above.forget_heading()

    def _with_sender(self, token: Token) -> Token:
        """A code with PID or SID that leaves its MID to the heading above."""
        if token.mark is not Mark.J1587 or self._above.sender is None or token.values[0].startswith("MID"):
            return token
        return replace(token, values=(f"MID {self._above.sender} {token.values[0]}",))

    def _assess(self, line: Line, found: list[FoundCode]) -> list[Assessment]:
        above = self._above
        around = Around(
            above.is_heading and not above.other, self._gathered.is_list(line), above.other, self._typed,
            self._is_alone, above.has_noun, self._is_after_code(),
            QUOTED_MAIL if _QUOTED.match(line.draft.text) else above.earlier,
        )  # fmt: skip
        blank = blanked(line.text, line.tokens)
        places = [place_of(one) for one in found]
        if line.before:
            shift = len(line.before) + 1
            blank = f"{line.before} {blank}"
            places = [replace(place, start=place.start + shift, end=place.end + shift) for place in places]
        return assess_codes(blank, places, around)

    def _is_after_code(self) -> bool:
        last = self._above.last_code
        return last is not None and any(seen.certain for seen in last.draft.codes)

    def _read_no_codes(self, line: Line, statuses: list[CodeStatus]) -> None:
        above = self._above
        is_under = above.is_heading and not (statuses or above.other or above.counted)
        under = [above.status] if is_under and above.status else []
        names = sorted({str(status) for status in (*statuses, *under)})
        if above.earlier:
            line.draft.set("unknown", f"Stands under “{above.earlier}”: it may not speak of today.", understood=False)
            return
        line.draft.no_codes, line.draft.none_under = True, above.unit
        line.draft.lists.update((*statuses, *under))
        is_of_some = bool(names or (is_under and above.unread)) or _PRESENT_NOW.search(line.text) is not None
        line.draft.no_codes_at_all = not is_of_some
        told = f"States that there are no {' or '.join(names)}{' ' if names else ''}codes."
        if is_under and above.unread:
            told = "States that there are none of the codes that the heading above names."
        line.draft.set("no codes", told)
        above.left_open = False

    def _read_other(self, line: Line) -> None:
        lamps = lamps_in(line.text)
        heading = heading_of(line.text)
        if lamps:
            line.draft.lamps += [lamp for lamp in lamps if not lamp.endswith(" off")]
            line.draft.set("lamp", f"{', '.join(lamps).capitalize()}.")
            self._expect(line, count_of_lamp_line(line.text))
        elif heading is not None:
            self._read_heading(line, heading)
        elif _NO_ANSWER.match(line.text):
            line.draft.set("note", "The unit or the adapter gave no answer; that is no statement about codes.")
        else:
            self._read_unknown(line)

    def _read_heading(self, line: Line, heading: Heading) -> None:
        above, text = self._above, line.text
        above.earlier = ""
        if heading.unit or heading.is_of_both:
            above.sender = None
            above.sides, above.unit = None, ""
        if (
            above.left_open
            and heading.status
            and not (heading.count or heading.unit or text.endswith(":") or NOUN.search(text))
            and not is_set_off(line.draft.text)
        ):
            above.left_open = False
            above.status, above.unread = None, UNCLEAR_HEADING
            told = "This status may belong to the code above or to the codes below. Put it in the line of its code."
            line.draft.set("unknown", told, understood=False)
            return
        above.check_expected()
        above.left_open, above.columns, above.last_code = False, None, None
        above.read_above = above.read if _TOTAL.match(text) and not (heading.status or heading.unit) else []
        above.counted, above.read = 0, []
        above.other, above.status = heading.other, heading.status
        if heading.status and not heading.other:
            line.draft.lists.add(heading.status)
        above.is_heading = bool(
            not heading.other
            and (heading.status or heading.unsure or NOUN.search(text) or heading.several or not heading.unit)
        )
        above.has_noun = bool(NOUN.search(text))
        above.unread = f"Status not read: “{heading.unsure}” above it may mean more than one." if heading.unsure else ""
        if heading.unit:
            above.unit = _written(heading.unit, line)
        if heading.count and re.search(rf"[(\[:=] ?{heading.count}\b|^\W*{heading.count} ", text) and not heading.other:
            above.expected, above.heading = heading.count, line.draft
        under = f" under “{_written(heading.unit, line)}”" if heading.unit else ""
        if heading.other:
            line.draft.set("heading", heading.other_sentence, understood=False)
        elif heading.status:
            line.draft.set(
                "heading", f"A heading: the codes below{under} are {heading.status}, unless a line says otherwise."
            )
        else:
            line.draft.set("heading", f"A heading{under} that gives the codes below no single status.")

    def _expect(self, line: Line, count: int | None) -> None:
        """Keep how many codes a line about lamps says that there are, until they are read."""
        if count:
            self._above.check_expected()
            self._above.counted, self._above.read, self._above.read_above = 0, [], self._above.read
            self._above.expected, self._above.heading = count, line.draft

    def _read_unknown(self, line: Line) -> None:
        above = self._above
        code, above.last_code = above.last_code, None
        denied = says_not(line.text)
        if code is not None and denied:
            reason = f"The line below it says “{denied}”."
            code.draft.codes = [replace(seen, reason=seen.reason or reason) for seen in code.draft.codes]
        if (
            code is not None
            and not denied
            and is_bare(code)
            and DESCRIPTION.search(line.text)
            and not line.text.endswith(":")
        ):
            line.draft.set("note", "Taken for the words of the code above.")
            return
        line.draft.set("unknown", why_unknown(line.text), understood=False)
        above.forget_heading()
        if EARLIER.search(line.text) and (len(line.text.split()) <= 7 or _OF_A_LETTER.fullmatch(line.text)):
            above.earlier = line.draft.text.strip()
        elif above.earlier and (line.text.endswith(":") or NOW.search(line.text)):
            above.earlier = ""


def _lists_named(text: str) -> set[CodeStatus]:
    """The statuses that name the lists of one line: "stored: P0118; pending: P0217"."""
    named = (heading_of(part.strip()) for part in _LABEL_OF_LIST.findall(text))
    return {one.status for one in named if one is not None and one.status and not one.other}


def _left_over(line: Line, found: list[FoundCode]) -> str:
    """A number in a list of blink or maker's codes that was read neither as a code nor as what is said of one."""
    if not any(one.code.system in (CodeSystem.FLASH, CodeSystem.MAKER) for one in found):
        return ""
    signs = list(line.text)
    for one in found:
        signs[one.place.start : one.place.end] = " " * (one.place.end - one.place.start)
    counts = {str(one.count) for one in found}
    return next((left[1] for left in _A_NUMBER_LEFT.finditer("".join(signs)) if left[1] not in counts), "")


def _written(unit: str, line: Line) -> str:
    """An engine or unit as it stands in the text."""
    return as_written(unit, line.draft.text) if unit else ""
