"""How often a piece of the program asks the database, and how many rows it is given.

Queries alone tell nothing of a page that reads ten thousand rows in one of them.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

import psycopg
import pytest


@dataclass
class Asked:
    """What was asked so far."""

    queries: int = 0
    rows: int = 0


@contextmanager
def asked() -> Iterator[Asked]:
    """Count queries and the rows that they gave, through whichever cursor they go."""
    counted = Asked()
    plain, server, fetch = psycopg.Cursor.execute, psycopg.ServerCursor.execute, psycopg.ServerCursor.fetchmany

    def execute(self: Any, *args: Any, **kwargs: Any) -> Any:
        answer = plain(self, *args, **kwargs)
        counted.queries += 1
        if self.description is not None:
            counted.rows += max(self.rowcount, 0)
        return answer

    def execute_on_server(self: Any, *args: Any, **kwargs: Any) -> Any:
        counted.queries += 1
        return server(self, *args, **kwargs)

    def fetchmany(self: Any, *args: Any, **kwargs: Any) -> Any:
        found = fetch(self, *args, **kwargs)
        counted.rows += len(found)
        return found

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(psycopg.Cursor, "execute", execute)
        patch.setattr(psycopg.ServerCursor, "execute", execute_on_server)
        patch.setattr(psycopg.ServerCursor, "fetchmany", fetchmany)
        yield counted
