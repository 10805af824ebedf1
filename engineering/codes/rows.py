"""Rows of tables, with a head that names their columns or without one, as codes of their line."""

import re

from engineering.codes.assessing import COUNT_IS_0
from engineering.codes.code import Code, CodeProblem, CodeStatus, CodeSystem
from engineering.codes.code_line import LineOfCodes, seen_sentence
from engineering.codes.lines import Draft, SeenCode
from engineering.codes.notation import make_code
from engineering.codes.row_words import row_denies, row_doubt, says_no
from engineering.codes.spn import COUNT_NOT_AVAILABLE, MAX_FMI, MAX_SPN
from engineering.codes.tables import MOST_CELLS, Row, cells_of
from engineering.codes.text_tokens import tokens_in
from engineering.codes.vocabulary import status_alone, tidied

_MORE_THAN_HEAD = "The table names parts, or the row has more in it than its head names."
_OF_SEVERAL = "The table has a column for each of several engines or times: which of them has the code was not read."
_SHORT = "The row has fewer cells than the head of its table, and was not read."
_UNMARKED = "None of the columns for its status is marked: check whether the code is there."
_NO_HEAD = "The table has no head: SPN and FMI were told by their order, and the count was not."

_BLANKS = re.compile(r"\s*[0-9]{2,6}\s+[0-9]{1,2}\s+[0-9]{1,3}\s+[^\W\d]{3,20}(?:\s[^\W\d]{3,20})?\s*")
"""SPN, FMI, a count, and one word or two, parted by blanks alone."""


def read_row(
    draft: Draft,
    row: Row,
    preferred: CodeSystem | None,
    *,
    heading: CodeStatus | None,
    unit: str,
    unread: str,
    is_parts: bool = False,
    is_of_several: bool = False,
    heads: tuple[str, ...] = (),
) -> bool:
    """Put the code of a row into its line; False where there is none in its place."""
    if row.is_short:
        draft.set("unknown", _SHORT, understood=False)
        return True
    try:
        found = _code_of(row, preferred)
    except CodeProblem as wrong:
        draft.set("code", wrong.sentence, understood=False)
        return True
    if found is None:
        return False
    code, doubt = found
    if row.flags_denied:
        draft.set(
            "unknown", f"{code} is listed, and every status beside it is “no”: not read as a code.", understood=False
        )
        return True
    if denied := row_denies("" if row.status else row.status_said, row.beside):
        draft.denied.append((code, row.unit or unit))
        draft.set("unknown", f"“{row.code or code}” {denied}: not read as a code.", understood=False)
        return True
    said = _unread(row)
    status = row.status if row.status or row.status_said else heading
    notes = said or ((unread,) if status is None and unread else ())
    count = row.count
    if code.system is CodeSystem.SPN and count == COUNT_NOT_AVAILABLE:
        count = None
    doubt = doubt or (_OF_SEVERAL if is_of_several else _MORE_THAN_HEAD if row.is_loose or is_parts else "")
    doubt = doubt or row_doubt(
        "" if row.status else row.status_said, row.beside, heads, is_said=status is not None, is_counted=bool(count)
    )
    if row.status is None and says_no(row.status_said):
        draft.denied.append((code, row.unit or unit))
    doubt = doubt or (_UNMARKED if row.is_unmarked and status is None else "")
    doubt = doubt or (COUNT_IS_0 if count == 0 and status is None else "")
    problem = f"FMI {row.fmi} is reserved." if row.fmi and 22 <= int(row.fmi) <= 30 else None
    raw = row.code or f"{row.spn} {row.fmi}"
    seen = SeenCode(
        code, status, count, draft.number, None, raw, problem, doubt or None, notes, row.unit or unit or None
    )
    draft.codes.append(seen)
    draft.set("code", f"{seen_sentence(seen)}.", understood=not (row.status_said and row.status is None))
    return True


def read_loose_row(draft: Draft, separator: str | None, unit: str) -> bool:
    """A row of a table without a head: SPN and FMI first, and a status in a cell of its own. Only offered."""
    if separator is None and not _BLANKS.fullmatch(draft.text):
        return False
    if separator is not None and draft.text.count(separator) > MOST_CELLS:
        return False
    raw = draft.text.split(None, 3) if separator is None else cells_of(draft.text, separator)
    cells = [tidied(cell) for cell in raw[:2]]
    if len(raw) < 3 or not all(re.fullmatch(r"[0-9]{1,6}", cell) for cell in cells):
        return False
    statuses = [status for cell in raw[2:] if (status := status_alone(tidied(cell)))]
    spn, fmi = int(cells[0]), int(cells[1])
    if len(statuses) != 1 or not 16 <= spn <= MAX_SPN or fmi > MAX_FMI:
        return False
    code = make_code(CodeSystem.SPN, f"{spn}-{fmi}")
    seen = SeenCode(
        code, statuses[0], None, draft.number, None, f"{cells[0]} {cells[1]}", None, _NO_HEAD, (), unit or None
    )
    draft.codes.append(seen)
    draft.set("code", f"{seen_sentence(seen)}. {_NO_HEAD}", understood=False)
    return True


def _unread(row: Row) -> tuple[str, ...]:
    return (f"Status not read: “{row.status_said}”.",) if row.status_said and row.status is None else ()


def _code_of(row: Row, preferred: CodeSystem | None) -> tuple[Code, str] | None:
    """The code in its column, and why it is doubtful."""
    if row.spn:
        return make_code(CodeSystem.SPN, f"{row.spn}-{row.fmi}"), ""
    reading = LineOfCodes(preferred if preferred is CodeSystem.MAKER else CodeSystem.FLASH)
    reading.read(tokens_in(row.code, CodeSystem.SPN if preferred is None else preferred), row.code)
    if len(reading.found) == 1:
        return reading.found[0].code, reading.found[0].place.doubt
    if preferred in (CodeSystem.FLASH, CodeSystem.MAKER) and not reading.found:
        return make_code(preferred, row.code), ""
    return None
