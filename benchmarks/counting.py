"""How many rows the database hands out while something is done."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

import psycopg


@dataclass
class Counted:
    """So many so far."""

    rows: int = 0


@contextmanager
def rows_counted() -> Iterator[Counted]:
    """Count the rows of every question, through whichever cursor it goes but one that the database holds open."""
    counted = Counted()
    plain = psycopg.Cursor.execute

    def execute(self: Any, *args: Any, **kwargs: Any) -> Any:
        answer = plain(self, *args, **kwargs)
        if self.description is not None:
            counted.rows += max(self.rowcount, 0)
        return answer

    psycopg.Cursor.execute = execute  # type: ignore[method-assign]
    try:
        yield counted
    finally:
        psycopg.Cursor.execute = plain  # type: ignore[method-assign]
