"""Which files there have to be: every row that names one, told by whoever has such rows."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass

# Digest, size in bytes where the row knows it, and what a person calls the file.
Rows = Callable[[], Iterable[tuple[str, int | None, str]]]


@dataclass(frozen=True)
class Reference:
    """A file that a row names."""

    digest: str
    size: int | None
    what: str


_rows: dict[str, Rows] = {}


def register(subject: str, rows: Rows) -> None:
    """Tell of rows that name files; called when the app is set up."""
    _rows[subject] = rows


def references() -> Iterator[Reference]:
    """Every file that has to be there, once for each row that names it."""
    for rows in _rows.values():
        for digest, size, what in rows():
            yield Reference(digest, size, what)


def is_referenced(digest: str) -> bool:
    """Whether any row names this file."""
    return any(one.digest == digest for one in references())
