"""Lines in words: codes with their status and count, headings, lamps, and "no codes"."""

import re

from engineering.codes.code import CodeProblem, CodeStatus, CodeSystem
from engineering.codes.code_line import LineOfCodes, seen_sentence
from engineering.codes.lines import Draft
from engineering.codes.notation import make_code
from engineering.codes.tables import Columns
from engineering.codes.text_tokens import Mark, Token, tidied, tokens_in

_NOUN = re.compile(r"\b(?:CODES?|DTCS?|FAULTS?|TROUBLES?|DM[0-9]{1,2}|(?:SERVICE|MODE) \$?0?[37A])\b")
_NO_CODES = (
    re.compile(r"^\W*(?:NO|ZERO|0)(?: [A-Z]+){0,4} (?:CODES?|DTCS?|FAULTS?)\b(?!.*[1-9])"),
    re.compile(r"\b(?:CODES?|DTCS?|FAULTS?|ACTIVE|STORED|PENDING|PERMANENT)\b[ :=-]{1,4}(?:NONE|NO|NIL|0)\W*$"),
    re.compile(r"^\W*NONE(?: FOUND| PRESENT| STORED)?\W*$"),
)
_LAMP = re.compile(
    r"\b(MIL|MALFUNCTION INDICATOR|CHECK ENGINE|RED STOP|STOP ENGINE|AMBER WARNING|PROTECT)\b(?: LAMP| LIGHT)?"
    r"(?: STATUS| IS)?[ :=-]{1,4}(ON|OFF|FLASHING)\b"
)
_LAMP_NAMES = {
    "MIL": "malfunction indicator lamp",
    "MALFUNCTION INDICATOR": "malfunction indicator lamp",
    "CHECK ENGINE": "malfunction indicator lamp",
    "RED STOP": "red stop lamp",
    "STOP ENGINE": "red stop lamp",
    "AMBER WARNING": "amber warning lamp",
    "PROTECT": "protect lamp",
}
_NO_ANSWER = re.compile(r"^\W*(?:NO DATA|UNABLE TO CONNECT|NO RESPONSE|TIMEOUT|SEARCHING)\b")
_FLASH_FIRST = re.compile(
    r"^\W*(?:(?:FLASH|BLINK|FAULT|ERROR|TROUBLE) ?)?(?:CODES?|DTCS?|FAULTS?)?[ :=#]{0,3}"
    r"([0-9]{1,3}(?:-[0-9]){0,3}(?: ?[,;] ?[0-9]{1,3}(?:-[0-9]){0,3})*)(?![\w./:-])"
)
_MAKER_FIRST = re.compile(
    r"^\W*(?:(?:FAULT|ERROR|TROUBLE) ?)?(?:CODES?\b|DTCS?\b)?[ :=#]{0,3}([A-Z0-9][A-Z0-9._/+-]{0,23})"
)
_MORE_NUMBERS = re.compile(r"\W*([0-9]+(?:[ -][0-9]+){0,20})")
_MISTYPED = re.compile(r"(?<![A-Z0-9])[PCBU][0-9OI][0-9A-FOI]{3}(?![A-Z0-9])")


class TextReader:
    """Reads lines in words; keeps the status of the last heading and the columns of the last table head."""

    def __init__(self, preferred: CodeSystem | None) -> None:
        """Start without heading or table."""
        self._preferred = preferred
        self._status: CodeStatus | None = None
        self._columns: Columns | None = None
        self._left_open = False

    def read(self, draft: Draft) -> None:
        """Say what the line is, and put its codes into the draft."""
        line = tidied(draft.text)
        tokens = tokens_in(line, self._preferred)
        if any(token.mark not in (Mark.STATUS, Mark.COUNT) for token in tokens):
            self._read_codes(draft, tokens)
        elif any(pattern.search(line) for pattern in _NO_CODES):
            self._read_no_codes(draft, tokens)
        elif not (self._read_table(draft, tokens) or self._read_preferred(draft, line, tokens)):
            self._read_other(draft, line, tokens)

    def _read_table(self, draft: Draft, tokens: list[Token]) -> bool:
        head = Columns.of_head(draft.text)
        if head is not None:
            self._columns = head
            draft.set("heading", f"The head of a table: {head}.")
            return True
        row = self._columns.row(draft.text) if self._columns else None
        if row is None:
            return False
        spn, fmi, count = row
        pair = Token(Mark.SPN_PAIR, 0, 0, f"{spn} {fmi}", (str(spn), str(fmi)))
        counted = [] if count is None else [Token(Mark.COUNT, 0, 0, str(count), (str(count),))]
        self._read_codes(draft, [pair, *counted, *(token for token in tokens if token.mark is Mark.STATUS)])
        return True

    def _read_preferred(self, draft: Draft, line: str, tokens: list[Token]) -> bool:
        """With flash or the maker's codes preferred, what stands first in the line is the code."""
        if self._preferred not in (CodeSystem.FLASH, CodeSystem.MAKER):
            return False
        characters = list(line)
        for token in tokens:
            characters[token.start : token.end] = " " * (token.end - token.start)
        pattern = _FLASH_FIRST if self._preferred is CodeSystem.FLASH else _MAKER_FIRST
        match = pattern.match("".join(characters))
        if match is None or not any(character.isdigit() for character in match[1]):
            return False
        found = Token(Mark.FLASH, match.start(1), match.end(1), match[1], (match[1],))
        self._read_codes(draft, sorted([found, *tokens], key=lambda token: token.start), self._preferred)
        rest = _MORE_NUMBERS.match("".join(characters)[match.end(1) :])
        if rest and self._preferred is CodeSystem.FLASH:
            told = f"“{rest[1]}” was not read: put a comma between codes, or hyphens between blinks."
            draft.set("code", f"{draft.sentence} {told}", understood=False)
        return True

    def _read_codes(self, draft: Draft, tokens: list[Token], flash: CodeSystem = CodeSystem.FLASH) -> None:
        reading = LineOfCodes(draft.number, self._status, flash)
        for token in tokens:
            reading.take(token)
        reading.finish()
        draft.codes += reading.codes
        self._left_open = any(seen.status is None for seen in reading.codes)
        said = [seen_sentence(seen) for seen in reading.codes]
        sentence = "; ".join(said) + ("." if said else "")
        draft.set("code", " ".join([sentence, *reading.problems]).strip(), understood=not reading.problems)

    def _read_no_codes(self, draft: Draft, tokens: list[Token]) -> None:
        statuses = {str(token.status) for token in tokens if token.status}
        draft.no_codes = True
        draft.set(
            "no codes", f"States that there are no {' or '.join(sorted(statuses))}{' ' if statuses else ''}codes."
        )

    def _read_other(self, draft: Draft, line: str, tokens: list[Token]) -> None:
        lamps = _LAMP.findall(line)
        if lamps:
            said = [f"{_LAMP_NAMES[name]} {state.lower()}" for name, state in lamps]
            draft.lamps += [lamp for lamp in said if not lamp.endswith(" off")]
            draft.set("lamp", f"{', '.join(said).capitalize()}.")
        elif self._is_heading(line, tokens):
            self._read_heading(draft, line, tokens)
        elif _NO_ANSWER.match(line):
            draft.set("note", "The unit or the adapter gave no answer; that is no statement about codes.")
        else:
            draft.set("unknown", _why_unknown(line), understood=False)

    def _is_heading(self, line: str, tokens: list[Token]) -> bool:
        statuses = [token for token in tokens if token.mark is Mark.STATUS]
        if not statuses:
            return bool(_NOUN.search(line)) and line.endswith(":")
        covered = sum(token.end - token.start for token in statuses)
        letters = sum(character.isalnum() for character in line)
        return bool(_NOUN.search(line)) or line.endswith(":") or covered >= letters

    def _read_heading(self, draft: Draft, line: str, tokens: list[Token]) -> None:
        if self._left_open and not line.endswith(":") and not _NOUN.search(line):
            self._left_open = False
            told = "This status may belong to the code above or to the codes below. Put it in the line of its code."
            draft.set("unknown", told, understood=False)
            return
        statuses = {token.status for token in tokens if token.status}
        self._status = statuses.pop() if len(statuses) == 1 else None
        self._columns = None
        if self._status:
            draft.set("heading", f"A heading: the codes below are {self._status}, unless a line says otherwise.")
        else:
            draft.set("heading", "A heading that gives the codes below no single status.")


def _why_unknown(line: str) -> str:
    mistyped = _MISTYPED.search(line)
    if mistyped and sum(character.isdigit() for character in mistyped[0]) >= 2:
        try:
            make_code(CodeSystem.OBD, mistyped[0])
        except CodeProblem as problem:
            return problem.sentence
    return "Nothing here is a code, a status, a lamp or a frame known here. The text is kept."
