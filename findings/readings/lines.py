"""Readings as lines of a text: "name value unit" as people write it, or the cells of a table."""

from __future__ import annotations

import csv
import re
from dataclasses import dataclass

from engineering.measures import unit_written

MOST_LINES, LONGEST_LINE = 200, 300
_NUMBER = re.compile(r"[-+−–]?(?:[0-9]+(?:[.,][0-9]+)*|[.,][0-9]+)")
_ABOUT = re.compile(r"[<>~≈≤≥±]$|\b(?:about|approx\.?|ca\.?|over|under|above|below)$", re.IGNORECASE)
"""Before a figure: it is a bound or a guess, and no value that was read."""
_LETTER = re.compile(r"[^\W\d_]")
_SWITCH = {"on", "off"}
_THREE_DECIMALS = re.compile(r"[1-9][0-9]{0,2}\.[0-9]{3}(?![0-9.,])")
_UNIT_OF_NAME = re.compile(r"(?P<name>.*\S) ?(?:\((?P<round>[^()]{1,12})\)|\[(?P<square>[^\[\]]{1,12})\])")
_UNIT_LAST = re.compile(r".*\s(?P<unit>[^\s\d()\[\]]{3,8}|°[CF])")
"""A name that ends in a unit; a shorter one may as well be a part of the name: "Pump A"."""
_LOWEST = re.compile(r"\bmin\.?\W*$", re.IGNORECASE)
"""Minutes at the end of a name may as well be "minimum"."""


@dataclass(frozen=True)
class ReadLine:
    """One line: what it says it is, and its value with its unit as written; ``name`` is empty where it says none."""

    text: str
    name: str = ""
    value: str = ""


def read_lines(text: str) -> tuple[list[ReadLine], list[str]]:
    """Every line of a text that is not empty, as far as there may be lines; and those beyond, as they stand.

    A line that is too long has no name and no value: cut off it may say another thing.
    """
    whole = [line.replace("\0", "").strip().removeprefix("\ufeff") for line in text.splitlines()]
    lines = [line for line in whole if line]
    read = [_read(line) if len(line) <= LONGEST_LINE else ReadLine(line) for line in lines[:MOST_LINES]]
    return read, lines[MOST_LINES:]


def _read(line: str) -> ReadLine:
    for cells in _as_cells(line):
        if found := _from_cells(cells):
            return ReadLine(line, *_with_unit_of_name(*found))
    return ReadLine(line, *_with_unit_of_name(*(_from_words(line.split()) or ("", ""))))


def _with_unit_of_name(name: str, value: str) -> tuple[str, str]:
    """The unit that stands in the name, "Oil pressure [kPa] 414", is the value's, where that has none of its own."""
    if not is_bare(value) or _LOWEST.search(name):
        return name, value
    if (found := _UNIT_OF_NAME.fullmatch(name)) and unit_written(unit := found["round"] or found["square"]):
        return found["name"], f"{value} {unit}"
    if (found := _UNIT_LAST.fullmatch(name)) and unit_written(found["unit"]):
        return name, f"{value} {found['unit']}"
    return name, value


def is_bare(value: str) -> bool:
    """Whether a value is a number without a unit."""
    return _NUMBER.fullmatch(value) is not None


def may_be_thousands(value: str) -> str:
    """The number of a value that one reader takes for thousands, "1.204", where no instrument shows three decimals."""
    found = _THREE_DECIMALS.match(value)
    return found[0] if found else ""


def _as_cells(line: str) -> list[list[str]]:
    """The cells that a line may have; a comma may be a decimal one, and divides only where two or more stand."""
    for mark in ("\t", ";"):
        if mark in line:
            return [_divided(line, mark)]
    cells = _divided(line, ",")
    return [cells] if len(cells) > 2 or (len(cells) == 2 and not cells[0][-1:].isdigit()) else []


def _divided(line: str, mark: str) -> list[str]:
    try:
        return [cell.strip() for cell in next(csv.reader([line], delimiter=mark))]
    except csv.Error:
        return []


def _from_cells(cells: list[str]) -> tuple[str, str] | None:
    """Name, value, and a unit where there is one; a line with more in it is none."""
    if len(cells) < 2 or any(cells[3:]) or not _LETTER.search(cells[0]):
        return None
    value, unit = cells[1], cells[2] if len(cells) > 2 else ""
    if value.casefold() in _SWITCH and not unit:
        return cells[0], value.casefold()
    number = _NUMBER.match(value)
    if number is None:
        return None
    behind = value[number.end() :].strip()
    if (behind and unit) or not _is_unit(behind or unit):
        return None
    return cells[0], " ".join(filter(None, [number[0], behind or unit]))


def _from_words(words: list[str]) -> tuple[str, str] | None:
    """The last figure with nothing but a unit behind it is the value; what stands before it is the name."""
    if len(words) > 1 and words[-1].casefold() in _SWITCH:
        return _named(words[:-1], words[-1].casefold())
    for at in range(len(words) - 1, 0, -1):
        number = _NUMBER.match(words[at])
        if number is None:
            continue
        behind = " ".join(filter(None, [words[at][number.end() :], *words[at + 1 :]]))
        if _is_unit(behind):
            return _named(words[:at], " ".join(filter(None, [number[0], behind])))
    return None


def _named(words: list[str], value: str) -> tuple[str, str] | None:
    name = " ".join(words).rstrip(":= ").strip()
    return (name, value) if _LETTER.search(name) and not _ABOUT.search(name) else None


def _is_unit(text: str) -> bool:
    return not text or unit_written(text) is not None
