"""What a figure is made of for its page and its table to keep: the same cells serve both."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, tzinfo
from decimal import Decimal

from billing.figures.pictures import BarsPicture
from vessels.wording import date_words
from workorders.labor.reckoning import plain_hours
from workorders.money import money_words, rounded


@dataclass(frozen=True, slots=True)
class Cell:
    """One cell: its words, where they lead, and what a table to keep has in their place (the words where empty)."""

    words: str = ""
    url: str = ""
    plain: str = ""
    note: str = ""

    @property
    def kept(self) -> str:
        """What the table to keep has."""
        return self.plain or self.words


Row = Sequence[Cell]


@dataclass(frozen=True, slots=True)
class Column:
    """A column: its heading, and how its cells are set: "hours", "money", "num" or as text."""

    heading: str
    css: str = ""
    is_kept_only: bool = False
    """Only the table to keep has it: a page has no room."""


@dataclass(frozen=True, slots=True)
class Table:
    """Rows under headings, with a last row of sums where there is one."""

    title: str
    columns: Sequence[Column]
    rows: Sequence[Row]
    sums: Row | None = None
    key: str = "summary"
    empty: str = ""

    @property
    def placed_sums(self) -> list[tuple[Column, Cell]]:
        """The sums beside their columns."""
        return self._beside(self.sums or ())

    @property
    def headings(self) -> list[Column]:
        """The columns that a page shows."""
        return [column for column in self.columns if not column.is_kept_only]

    def _beside(self, row: Row) -> list[tuple[Column, Cell]]:
        return [pair for pair in zip(self.columns, row, strict=True) if not pair[0].is_kept_only]


@dataclass(frozen=True)
class Figure:
    """A figure of the shop: what it comes to, a picture of it, its parts, and the rows behind it.

    ``told`` is what it says, ``meaning`` how it is counted and what is not known. ``rows`` has one row more than the
    page shows where there are more.
    """

    told: Sequence[str]
    meaning: Sequence[str]
    rows: Table
    parts: Sequence[Table] = ()
    picture: BarsPicture | None = None
    warnings: Sequence[str] = field(default_factory=list)


def money_cell(value: Decimal, currency: str, url: str = "") -> Cell:
    """A sum."""
    return Cell(money_words(value, currency), url, str(rounded(value, currency)))


def hours_cell(minutes: int) -> Cell:
    """Minutes as hours to two places."""
    return Cell(f"{plain_hours(minutes):,} h", plain=str(plain_hours(minutes)))


def day_cell(value: date | None, missing: str = "") -> Cell:
    """A day; what to say where there is none."""
    return Cell(missing) if value is None else Cell(date_words(value), plain=value.isoformat())


def moment_cell(value: datetime | None, zone: tzinfo, missing: str = "") -> Cell:
    """The day of a moment by the shop's calendar; the table to keep has the moment."""
    if value is None:
        return Cell(missing)
    local = value.astimezone(zone)
    return Cell(date_words(local.date()), plain=local.isoformat(timespec="minutes"))


def in_hundred(part: Decimal | int, whole: Decimal | int) -> str:
    """What a part is of a whole, to the full percent; nothing where the whole is nothing."""
    if not whole:
        return ""
    return f"{(Decimal(part) * 100 / Decimal(whole)).quantize(Decimal(1)):,}%"
