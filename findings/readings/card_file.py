"""The limits of spec cards as a CSV: one row a limit, written in one form and read without a guess.

What a row means is for ``findings.readings.card_plan`` to say; here stand the columns, the separators and the numbers.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from decimal import Decimal

from engineering.measures import UNITS, Kind
from findings.readings.fitting import scope_words
from findings.readings.models import SpecCard, SpecLimit
from web.tables import FORMULA_BEGINS

CARD, NUMBER, SCOPE = "card", "card number", "only for"
FIGURES = ("at least", "nominal", "at most", "near within %")
NEEDED = ("parameter", "condition", "at least", "nominal", "at most", "unit", "near within %", "document", "page")
HEADINGS = (CARD, NUMBER, *NEEDED, SCOPE)
MOST_BYTES, MOST_ROWS = 500_000, 1000
POINT, COMMA, UNSAID = "point", "comma", "unsaid"
_NUMBERS = {POINT: re.compile(r"-?[0-9]+(?:\.[0-9]+)?"), COMMA: re.compile(r"-?[0-9]+(?:,[0-9]+)?")}
_ON_OFF = {"on", "off"}
_SHOWN = 40


def rows_of(cards: Iterable[SpecCard]) -> Iterator[list[str]]:
    """A row for each limit in force of the cards, whose ``limits`` are at hand with their parameters."""
    for card in cards:
        for limit in card.limits.all():
            document = limit.source or card.document
            cells = [
                card.title, str(card.pk), limit.parameter.name, limit.condition, *(
                    _figure(one, limit.unit) for one in (limit.low, limit.nominal, limit.high)
                ), _unit(limit), _figure(limit.near_percent), document, limit.page, scope_words(card),
            ]  # fmt: skip
            yield [_escaped(cell) for cell in cells]


def _figure(value: Decimal | None, unit: str = "") -> str:
    if value is None:
        return ""
    if unit in UNITS and UNITS[unit].kind is Kind.ON_OFF:
        return "on" if value else "off"
    return f"{value.normalize():f}"


def _unit(limit: SpecLimit) -> str:
    return (UNITS[limit.unit].label or limit.unit) if limit.unit in UNITS else limit.unit


def _escaped(cell: str) -> str:
    """A cell that begins as one made harmless does gets one more apostrophe, so that reading it takes away no other."""
    return f"'{cell}" if _is_harmless(cell) else cell


def _is_harmless(cell: str) -> bool:
    return cell.startswith("'") and cell.lstrip("'").startswith(FORMULA_BEGINS)


def _unescaped(cell: str) -> str:
    """A cell without the apostrophe that keeps spreadsheets from taking it for a formula."""
    return cell[1:] if _is_harmless(cell) else cell


@dataclass(frozen=True)
class FileRow:
    """One row by its columns, with the line that it begins in; ``why`` says why it cannot be read."""

    line: int
    cells: dict[str, str] = field(default_factory=dict)
    why: str = ""


@dataclass(frozen=True)
class ReadFile:
    """What a text holds. ``problem``: why it cannot be read at all; ``unread``: columns that have no meaning here."""

    rows: Sequence[FileRow] = ()
    problem: str = ""
    unread: Sequence[str] = ()


def text_of(content: bytes, *, most: int = MOST_BYTES) -> tuple[str, str]:
    """The text of a file, and in a sentence why it has none that can be read. ``most``: how many bytes it may have."""
    if len(content) > most:
        return "", f"This file has more than {most // 1000} kB. Divide it, or choose the CSV alone."
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError:
        return "", "This file is not UTF-8, so its letters cannot be told. Save it as “CSV UTF-8” and choose it again."
    if "\0" in text:
        return "", "This file is no text. Choose a CSV."
    return text, ""


def read_file(text: str, decimal: str = UNSAID) -> ReadFile:
    """The rows of a CSV. ``decimal`` is ``POINT`` or ``COMMA`` where somebody said which one its numbers have.

    Columns may be separated by commas, semicolons or tabs; the header tells which. Only a table with commas, which is
    how it is written here, has a decimal point without being asked.
    """
    whole = text.removeprefix("\ufeff").replace("\r\n", "\n").replace("\r", "\n")
    lines = whole.split("\n")
    first = next((number for number, line in enumerate(lines, start=1) if line.strip()), 0)
    if not first:
        return ReadFile(problem="There is nothing to read. Choose a file, or paste its text.")
    mark, headings = _header(lines[first - 1])
    if why := _wrong_header(headings):
        return ReadFile(problem=why)
    records = list(_records(whole, mark, first, len(headings)))
    if len(records) > MOST_ROWS:
        return ReadFile(problem=f"This table has more than {MOST_ROWS} rows. Divide it, and read one part at a time.")
    rows = [one if isinstance(one, FileRow) else _named(one[0], headings, one[1]) for one in records]
    if decimal == UNSAID and mark != "," and any(_may_be_either(row) for row in rows):
        by = "semicolons" if mark == ";" else "tabs"
        return ReadFile(
            problem=f"The columns are separated by {by}, so decimals may have a comma or a point. Say which one below."
        )
    unread = [one for one in headings if one and one not in HEADINGS]
    return ReadFile([_with_numbers(row, POINT if decimal == UNSAID else decimal) for row in rows], unread=unread)


def _wrong_header(headings: Sequence[str]) -> str:
    """Why a first line does not name the columns; empty where it does."""
    if "parameter" not in headings:
        return f"The first line has to name the columns: {', '.join(NEEDED)}."
    missing = [one for one in NEEDED if one not in headings]
    twice = [one for one in dict.fromkeys(headings) if one and headings.count(one) > 1]
    if missing:
        return f"The first line does not name every column. Missing: {', '.join(missing)}."
    return f"The first line names a column twice: {', '.join(twice)}." if twice else ""


def _may_be_either(row: FileRow) -> bool:
    """Whether a number of the row has a sign that may stand for decimals or for thousands."""
    return any(sign in row.cells.get(name, "") for name in FIGURES for sign in ".,")


def _header(line: str) -> tuple[str, list[str]]:
    """The sign between the columns, and their names in small letters."""
    best: tuple[str, list[str]] = (",", [])
    for mark in (",", ";", "\t"):
        try:
            cells = next(csv.reader([line], delimiter=mark), [])
        except csv.Error:
            continue
        names = [" ".join(_unescaped(cell).split()).casefold() for cell in cells]
        if sum(one in HEADINGS for one in names) > sum(one in HEADINGS for one in best[1]):
            best = (mark, names)
    return best


def _records(text: str, mark: str, header: int, width: int) -> Iterator[FileRow | tuple[int, list[str]]]:
    """Each row with its first line; one that cannot be divided says why. No more than one too many."""
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=mark, strict=True)
    found = 0
    while found <= MOST_ROWS:
        line = reader.line_num + 1
        try:
            cells = next(reader)
        except StopIteration:
            return
        except csv.Error:
            found += 1
            yield FileRow(line, why="A quotation mark is opened and not closed, or stands inside a cell by itself.")
            continue
        if line <= header or not any(cell.strip() for cell in cells):
            continue
        found += 1
        if len(cells) != width:
            have = f"{len(cells)} cell{'' if len(cells) == 1 else 's'}"
            yield FileRow(line, why=f"This row has {have}, and the first line {width}. A comma in a cell needs quotes.")
        else:
            yield line, cells


def _named(line: int, headings: Sequence[str], cells: Sequence[str]) -> FileRow:
    plain = (_unescaped(cell.strip()) for cell in cells)
    return FileRow(line, {name: cell for name, cell in zip(headings, plain, strict=True) if name in HEADINGS})


def _with_numbers(row: FileRow, decimal: str) -> FileRow:
    """The row with its numbers as they are written everywhere here; one that is none says so."""
    cells = dict(row.cells)
    for name in FIGURES:
        written = cells.get(name, "")
        if not written or written.casefold() in _ON_OFF:
            continue
        if not _NUMBERS[decimal].fullmatch(written):
            return FileRow(row.line, row.cells, f"{name}: {_no_number(written, decimal)}")
        cells[name] = written.replace(",", ".")
    return FileRow(row.line, cells, row.why)


def _no_number(written: str, decimal: str) -> str:
    shown = written if len(written) <= _SHOWN else f"{written[: _SHOWN - 1]}…"
    other = COMMA if decimal == POINT else POINT
    if _NUMBERS[other].fullmatch(written):
        right = written.replace(",", ".") if decimal == POINT else written.replace(".", ",")
        return f"“{shown}” has a {other}. Write {right}, or say below that decimals have a {other}."
    such = "12.5" if decimal == POINT else "12,5"
    return f"“{shown}” is no number that can be read here. Write digits alone, such as {such}."
