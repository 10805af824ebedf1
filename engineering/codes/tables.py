"""Tables of codes pasted as text: a head that names the columns, and rows under it."""

import csv
import re
from dataclasses import dataclass, field
from itertools import islice

from engineering.codes.code import CodeStatus
from engineering.codes.headings import is_unit, without_units
from engineering.codes.vocabulary import NO, YES, status_alone, tidied

_ROLES = {
    "spn": "SPN",
    "fmi": "FMI",
    "mid": "MID",
    "pid": "PID",
    "sid": "SID",
    "ppid": "PPID",
    "psid": "PSID",
    "ftb": r"FTB|FAILURE TYPE(?: BYTE)?|FAULT TYPE",
    "count": r"OC|OCC|COUNTS?|CNTS?|FREQ(?:UENCY)?|(?:NUMBER|NO\.?) OF OCCURRENCES"
    r"|OCCURRENCES?|OCCURRENCE COUNT|ANZAHL|HAE?UFIGKEIT|NOMBRE|OCURRENCIAS|RECUENTO"
    r"|OCCORRENZE|CONTEGGIO|AANTAL"
    r"|OCORRENCIAS|CONTAGEM|ANTALL?|LUKUMAARA|MAARA|TIMES",
    "code": r"(?:FAULT |TROUBLE |ERROR |DIAGNOSTIC |FLASH )?CODES?|DTCS?|FEHLERCODES?|CODES? DEFAUTS?|CODIGOS?|CODICE"
    r"|STORINGSCODE|FOUTCODE|FEJLKODE|FEILKODE|FELKOD|VIKAKOODI|P-CODE|SPN ?[/-] ?FMI|SPN\.FMI|KODE|KOD|KOODI",
    "status": r"STATUS|STATE|CONDITION|ZUSTAND|ETAT|STATUT|ESTADO|STATO|TOESTAND|TILSTAND|TILLSTAND|TILA",
    "unit": r"ENGINE|UNIT|MODULE|ECU|CONTROLLER|CONTROL (?:UNIT|MODULE)"
    r"|SOURCE(?: ADDRESS)?|SRC|SA|ADDRESS|NODE|DEVICE|MOTOR|MOTEUR|MOTORE|STEUERGERAT|SIDE",
    "active": "(?:CURRENTLY |NOW )?ACTIVE|CURRENT|AKTIV|ACTIF|ACTIVO|ATTIVO|ACTIEF|ATIVO|AKTIIVINEN",
    "stored": "(?:PREV(?:IOUSLY|IOUS|\\.)?|FORMERLY)[ -]ACTIVE|INACTIVE|NOT ACTIVE|STORED|CONFIRMED|HISTORY"
    "|GESPEICHERT|MEMORISE|ALMACENADO|MEMORIZZATO|OPGESLAGEN|ARMAZENADO|GEMT|LAGRET|LAGRAD"
    "|TALLENNETTU",
    "pending": "PENDING|PENDIENTE|PENDENTE",
    "permanent": "PERMANENT",
}
_ROLE = re.compile("|".join(f"(?P<{role}>{words})" for role, words in _ROLES.items()))
_CODE_COLUMN = re.compile(rf"SPN|(?<![A-Z])MID(?![A-Z])|{_ROLES['code']}")
"""Without one of these in it, no line is the head of a table of codes."""
MOST_CELLS = 40
"""A line with more is no head of a table of codes, and no row of one without a head."""
_NUMBERED = frozenset(("pid", "sid", "ppid", "psid"))
"""The columns of which one has the number of the signal or the part."""
FLAG_ROLES = ("active", "stored", "pending", "permanent")
_PART = re.compile(r"(?<![A-Z])(?:PARTS?|PRICE|QTY|ITEM|TEIL|PIEZA|ARTIKEL|BIN|STOCK)(?![A-Z])")
_TIME = re.compile(
    r"(?:BEFORE|AFTER|THEN|NOW|OLD|NEW|PREVIOUS|TODAY|YESTERDAY|LAST|ARRIVAL|DEPARTURE)"
    r"(?: (?!(?:HOURS?|HRS|SEEN|TIME|DATE|OCCURRENCE|OCCURRED|RPM|VALUE)$)[A-Z]{2,10})?"
)
"""The head of a column for one of several times; "last hours" is told of each code, whatever its time."""
_BLANK = re.compile(r"[-./ ]*|N/A")
_RULE = re.compile(r"[\s|:;,.=_*+~-]*")


@dataclass(frozen=True, slots=True)
class Row:
    """What one row says. ``status_said`` is a status that stands there, read or not.

    ``is_loose``: behind its columns stand words that no column takes. ``is_short``: a cell lacks, and which one is not
    seen, so that no number of it is known to be the SPN. ``is_unmarked``: none of its columns for a status has a yes.
    """

    code: str = ""
    spn: str = ""
    fmi: str = ""
    count: int | None = None
    status: CodeStatus | None = None
    status_said: str = ""
    unit: str = ""
    flags_denied: bool = False
    is_loose: bool = False
    beside: tuple[tuple[str, str], ...] = ()
    """What stands in the columns that have no part in the code: the head of each, tidied, and its cell."""
    is_short: bool = False
    is_unmarked: bool = False


@dataclass(frozen=True, slots=True)
class Columns:
    """What stands in which column of each row. ``separator`` is None for white space."""

    separator: str | None
    roles: dict[str, int] = field(default_factory=dict)
    width: int = 0
    names_parts: bool = False
    others: dict[int, str] = field(default_factory=dict)
    """The heads, tidied, of the columns that have no part in the code, by their place."""
    names_units: bool = False
    """Whether several columns are each of one engine or unit, or of one time."""

    def __str__(self) -> str:
        """Such as "SPN in column 1, FMI in column 2"."""
        names = {role: role.upper() for role in ("spn", "fmi", "mid", *_NUMBERED)}
        return ", ".join(
            f"{names.get(role, role)} in column {place + 1}"
            for role, place in sorted(self.roles.items(), key=lambda one: one[1])
        )

    @property
    def has_codes(self) -> bool:
        """Whether the head names what codes stand in."""
        return "code" in self.roles or {"spn", "fmi"} <= self.roles.keys() or self._has_senders

    @property
    def _has_senders(self) -> bool:
        """Whether the codes are told by MID, PID or SID, and FMI; an empty cell has to be seen where several stand."""
        told = len(_NUMBERED & self.roles.keys())
        return {"mid", "fmi"} <= self.roles.keys() and (told == 1 or (told > 1 and self.separator is not None))

    @classmethod
    def of_head(cls, line: str, plain: str) -> "Columns | None":
        """The columns that a line names, or None where it is no head: a head has no digit and at least two cells.

        ``plain`` is the line tidied, or more of the text than it: what it says quickly is not asked of each cell.
        """
        if len(line) > 300 or (re.search(r"\d", line) and re.search(r"\d", without_units(plain))):
            return None
        separator = next((sign for sign in ("\\t", "\t", ";", "|", ",") if sign in line), None)
        is_marked = separator in ("\t", ";", "|") or (separator == "," and '","' in line)
        looks_like_head = is_marked or _looks_like_head(line)
        may_have_codes = _CODE_COLUMN.search(plain.replace('"', "")) is not None
        raw = cells_of(line, separator) if looks_like_head or may_have_codes else []
        plain_cells = (tidied(cell).strip(" .:#*") for cell in raw)
        if not may_have_codes or len(raw) > MOST_CELLS:
            is_head = looks_like_head and sum(map(bool, islice(plain_cells, MOST_CELLS))) >= 2
            return cls(separator, width=len(raw)) if is_head else None
        return cls._of_cells(line, separator, list(plain_cells), looks_like_head=looks_like_head)

    @classmethod
    def _of_cells(
        cls, line: str, separator: str | None, cells: list[str], *, looks_like_head: bool
    ) -> "Columns | None":
        if separator is None and re.search(r"\S {2,}\S", line.strip()):
            cells = [tidied(cell) for cell in re.split(r" {2,}", line.strip())]
            cells = (
                cells
                if all(" " not in cell for cell in cells)
                else tidied(line).replace("OCCURRENCE COUNT", "COUNT").split()
            )
        if len([cell for cell in cells if cell]) < 2:
            return None
        roles: dict[str, int] = {}
        for place, cell in enumerate(cells):
            role = _ROLE.fullmatch(cell)
            if role:
                roles.setdefault(str(role.lastgroup), place)
        columns = cls(
            separator,
            roles,
            len(cells),
            others={place: cell for place, cell in enumerate(cells) if place not in roles.values()},
            names_parts=any(_PART.search(cell) for cell in cells),
            names_units=sum(is_unit(cell) or _TIME.fullmatch(cell) is not None for cell in cells) > 1,
        )
        if columns.has_codes and (separator is not None or {"spn", "fmi"} <= roles.keys() or columns._has_senders):
            return columns
        if columns.has_codes and len(roles) == len(cells) and roles.keys() & {"status", "count"}:
            return columns
        return columns if looks_like_head else None

    def row(self, line: str) -> Row | None:
        """What a row says, or None where it has no code in its place."""
        cells = cells_of(line, self.separator)
        wide = re.split(r"\s{2,}", line.strip()) if self.separator is None else []
        if len(wide) == self.width:
            cells = wide
        if self.separator is not None and len(cells) not in (self.width, self.width + 1, self.width - 1):
            return None
        if self.separator is None and 1 < len(cells) < self.width and self._may_lack_a_cell_before_the_code(cells):
            return Row(is_short=True)
        if "code" in self.roles:
            code, spn, fmi = self._cell(cells, "code"), "", ""
            if not re.search(r"[0-9]", code):
                return None
            failure_type = self._cell(cells, "ftb").removeprefix("0X").removesuffix("H")
            if re.fullmatch("[0-9A-F]{2}", failure_type) and re.fullmatch("[PCBU][0-9A-F]{4}", code):
                code = f"{code}-{failure_type}"
        elif self._has_senders and "spn" not in self.roles:
            code, spn, fmi = self._code_of_sender(cells), "", ""
            if not code:
                return None
        else:
            code, spn, fmi = "", self._cell(cells, "spn"), self._cell(cells, "fmi")
            if not (re.fullmatch(r"[0-9]{1,7}", spn) and re.fullmatch(r"[0-9]{1,7}", fmi)):
                return None
        status, said, denied = self._status(cells)
        number = "" if self._may_be_shifted(cells, "count") else self._cell(cells, "count")
        extra = self.separator is None and len(cells) > self.width and self.width == len(self.roles) and status is None
        return Row(
            code, spn, fmi, int(number) if re.fullmatch(r"[0-9]{1,6}", number) else None, status, said,
            self._raw(cells, "unit"), denied, extra, self._beside(cells), is_unmarked=self._is_unmarked(cells),
        )  # fmt: skip

    def _may_lack_a_cell_before_the_code(self, cells: list[str]) -> bool:
        places = [self.roles[role] for role in ("spn", "fmi") if role in self.roles and "code" not in self.roles]
        return bool(places) and max(places) >= len(places) and all(map(_is_number, cells))

    def _may_be_shifted(self, cells: list[str], *roles: str) -> bool:
        """Whether a row parted by blanks lacks cells, so that what stands below one head may belong below another.

        A count stays one where nothing but a status stands beside it: no number is that.
        """
        if self.separator is not None or len(cells) >= self.width:
            return False
        return bool(self.others) or not self.roles.keys() <= {"code", "spn", "fmi", "ftb", "status", *roles}

    def _code_of_sender(self, cells: list[str]) -> str:
        """The code with its MID; empty where a number lacks, or where both a PID and an SID stand there."""
        mid, fmi = self._cell(cells, "mid"), self._cell(cells, "fmi")
        told = [(name.upper(), number) for name in _NUMBERED if (number := self._cell(cells, name).strip("-–—"))]
        if len(told) != 1 or not all(_is_number(number) for number in (mid, told[0][1], fmi)):
            return ""
        return f"MID {mid} {told[0][0]} {told[0][1]} FMI {fmi}"

    def _beside(self, cells: list[str]) -> tuple[tuple[str, str], ...]:
        if self.separator is None and len(cells) != self.width:
            return ()
        return tuple((head, tidied(cells[place])) for place, head in self.others.items() if place < len(cells))

    def _status(self, cells: list[str]) -> tuple[CodeStatus | None, str, bool]:
        """The status of a row, what was said of it, and whether every one of its columns says no."""
        said = self._cell(cells, "status")
        if self.separator is None and "status" in self.roles and self.roles["status"] == self.width - 1:
            said = tidied(" ".join(cells[self.roles["status"] :]))
        elif self.separator is None and len(cells) > self.width and not said:
            said = tidied(" ".join(cells[self.width :]))
        if self.separator is None and any(not _is_number(self._cell(cells, r)) for r in ("count",) if r in self.roles):
            return None, said, False
        if said:
            return status_alone(said), said, False
        known = [role for role in FLAG_ROLES if role in self.roles]
        if known and self._may_be_shifted(cells):
            first = min(self.roles[role] for role in known)
            return None, tidied(" ".join(cells[first:])), False
        yes = [role for role in FLAG_ROLES if re.fullmatch(rf"{YES}|1", self._cell(cells, role) or "-")]
        no = [role for role in FLAG_ROLES if re.fullmatch(NO, self._cell(cells, role) or "-")]
        if len(yes) == 1:
            return CodeStatus(yes[0]), "", False
        is_no = bool(known) and len(no) == len(known)
        if is_no and any(re.fullmatch(rf"{YES}|1", cell) for _, cell in self._beside(cells)):
            return None, "NO", False
        return None, ", ".join(yes), is_no

    def _is_unmarked(self, cells: list[str]) -> bool:
        known = [role for role in FLAG_ROLES if role in self.roles]
        return bool(known) and all(_BLANK.fullmatch(self._cell(cells, role)) for role in known)

    def _cell(self, cells: list[str], role: str) -> str:
        return tidied(self._raw(cells, role))

    def _raw(self, cells: list[str], role: str) -> str:
        place = self.roles.get(role, len(cells))
        return cells[place].strip() if place < len(cells) else ""


def is_rule(line: str) -> bool:
    """A line of hyphens, bars and the like, as under a head."""
    return bool(line.strip()) and _RULE.fullmatch(line) is not None


def separator_of(line: str) -> str | None:
    """What parts a line into cells where no head says it: a tab, a semicolon, a bar, or the comma of quoted cells."""
    sign = next((sign for sign in ("\t", ";", "|") if sign in line), None)
    return sign or ("," if '","' in line else None)


def cells_of(line: str, separator: str | None) -> list[str]:
    """The cells of a row, out of their quotes."""
    if separator is None:
        return line.split()
    if '"' in line:
        try:
            return [
                cell.strip() for cell in next(csv.reader([line.strip()], delimiter=separator, skipinitialspace=True))
            ]
        except (csv.Error, StopIteration):
            return [line]
    plain = line.strip("\r\n")
    if separator == "|":
        plain = plain.strip()
        plain = plain[1:].removesuffix("|") if plain.startswith("|") else plain
    return [cell.strip() for cell in plain.split(separator)]


def _looks_like_head(line: str) -> bool:
    return bool(re.search(r"\S {2,}\S", line.strip())) and all(map(_may_be_in_head, line.split()))


def _may_be_in_head(word: str) -> bool:
    return word.strip("()[]#./")[:1].isupper() or len(word.strip("()[].")) <= 1


def _is_number(cell: str) -> bool:
    return bool(re.fullmatch(r"[0-9]{1,7}", cell))
