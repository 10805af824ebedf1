"""Tables of codes pasted as text: a head that names the columns SPN and FMI, and rows of numbers under it."""

import re
from dataclasses import dataclass

_COUNT_NAMES = frozenset(("OC", "OCC", "COUNT", "COUNTS", "OCCURRENCE", "OCCURRENCES"))


@dataclass(frozen=True, slots=True)
class Columns:
    """Where SPN, FMI and the count stand in each row. ``separator`` is None for white space."""

    separator: str | None
    spn: int
    fmi: int
    count: int | None

    def __str__(self) -> str:
        """Such as "SPN in column 1, FMI in column 2"."""
        counted = "" if self.count is None else f", count in column {self.count + 1}"
        return f"SPN in column {self.spn + 1}, FMI in column {self.fmi + 1}{counted}"

    @classmethod
    def of_head(cls, line: str) -> "Columns | None":
        """The columns that a line names, or None where it is no head: a head has both names and no digit."""
        upper = line.upper().replace("OCCURRENCE COUNT", "COUNT")
        if not re.search(r"\bSPN\b", upper) or not re.search(r"\bFMI\b", upper) or re.search(r"[0-9]", upper):
            return None
        separator = next((sign for sign in ("\t", ";", "|", ",") if sign in upper), None)
        cells = _cells(upper, separator)
        if "SPN" not in cells or "FMI" not in cells:
            return None
        count = next((place for place, cell in enumerate(cells) if cell in _COUNT_NAMES), None)
        return cls(separator, cells.index("SPN"), cells.index("FMI"), count)

    def row(self, line: str) -> tuple[int, int, int | None] | None:
        """SPN, FMI and count of a row, or None where the line has no whole numbers in the first two places."""
        cells = _cells(line, self.separator)
        spn, fmi = self._number(cells, self.spn), self._number(cells, self.fmi)
        if spn is None or fmi is None:
            return None
        return spn, fmi, None if self.count is None else self._number(cells, self.count)

    @staticmethod
    def _number(cells: list[str], place: int) -> int | None:
        cell = cells[place] if place < len(cells) else ""
        return int(cell) if re.fullmatch(r"[0-9]{1,7}", cell) else None


def _cells(line: str, separator: str | None) -> list[str]:
    if separator is None:
        return line.split()
    return [cell.strip() for cell in line.strip(separator if separator == "|" else "\r\n").split(separator)]
