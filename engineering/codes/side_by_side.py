"""Lists of two engines side by side, each below the name of its own. Common practice of printouts, no source."""

import re

from engineering.codes.headings import is_one_of_several
from engineering.codes.vocabulary import tidied

_CELL = re.compile(r"[^\s|;][^\t|;]*?(?= {2}|\s*(?:[\t|;]|$))")
_EXPANDED = 8
_MOST_SIDES = 4
_LONGEST_HEAD = 120
_NEARLY = 3
"""How far, in signs, a cell may begin before the name that it stands below."""


class Sides:
    """The engines that a line names side by side, each with the place where its name begins."""

    def __init__(self, names: list[tuple[int, str]], separator: str) -> None:
        """``names`` in order; ``separator`` is what parts the cells, "" for blanks."""
        self._names = names
        self._separator = separator

    @classmethod
    def of_head(cls, raw: str) -> "Sides | None":
        """The engines that a line names side by side and no more; None where it is no such line."""
        if len(raw) > _LONGEST_HEAD:
            return None
        separator = _separator(raw)
        names = [(at, cell.rstrip(" :")) for at, cell in _cells(raw, separator) if cell]
        if not 2 <= len(names) <= _MOST_SIDES or len({name.casefold() for _, name in names}) < len(names):
            return None
        return cls(names, separator) if all(is_one_of_several(tidied(name)) for _, name in names) else None

    def parts(self, raw: str) -> list[tuple[str, str]] | None:
        """What a row says of each engine; None where it can't be told: a cell reaches into the column of another."""
        if _separator(raw) != self._separator:
            return None
        cells = _cells(raw, self._separator)
        if self._separator:
            texts = [cell for _, cell in cells]
            sides = [name for _, name in self._names]
            return (
                list(zip(sides, texts, strict=False))
                if len(texts) <= len(sides) or not any(texts[len(sides) :])
                else None
            )
        found = []
        for start, cell in cells:
            over = [at for at, _ in self._names if at <= start + _NEARLY]
            if not over or any(start + _NEARLY < at < start + len(cell) - 1 for at, _ in self._names):
                return None
            found.append((dict(self._names)[over[-1]], cell))
        return found if len({name for name, _ in found}) == len(found) else None


def _separator(raw: str) -> str:
    return next((sign for sign in "\t|;" if sign in raw.strip(" \r\n")), "")


def _cells(raw: str, separator: str) -> list[tuple[int, str]]:
    """The cells of a line, each with where it begins."""
    if not separator:
        return [(match.start(), match[0].rstrip()) for match in _CELL.finditer(raw.expandtabs(_EXPANDED))]
    line = raw.strip().strip("|") if separator == "|" else raw.strip("\r\n ")
    return [(at, cell.strip()) for at, cell in enumerate(line.split(separator))]
