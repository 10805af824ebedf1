"""Rows of a hand-written question to the database, for pages that show many.

The ORM makes a model of every row and a plan of every question, and either costs more than the answer. Where a page
has many rows, or asks many questions, it reads what it shows, and no more, into a named tuple; the database plans the
question once for each connection.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from types import SimpleNamespace
from typing import Any, TypeVar

import psycopg
from django.db import connection

T = TypeVar("T")


class _Prepared(psycopg.Cursor[tuple[Any, ...]]):
    """Sends values beside the question and not inside it, so that the database knows the question again."""

    def execute(self, query: Any, params: Any = None, **how: Any) -> _Prepared:
        """Ask, and let the question be prepared where the settings allow it."""
        super().execute(query, params, **{"prepare": True, **how})
        if connection.queries_logged:  # what Django writes down then: the question with its values
            self._query: Any = SimpleNamespace(
                query=psycopg.ClientCursor(self.connection).mogrify(query, params).encode()
            )
        return self


def rows(made: Callable[..., T], sql: str, asked: Mapping[str, Any]) -> list[T]:
    """What the question finds, each row put into ``made`` in the order of its columns.

    ``sql`` is written in the program, never from what people typed: that comes in by name, in ``asked``. Begin with
    ``%(text)s::text`` and the like where the database cannot tell what a value is.
    """
    with _cursor() as cursor:
        cursor.execute(sql, asked)
        return [made(*row) for row in cursor.fetchall()]


def figures(sql: str, asked: Mapping[str, Any]) -> tuple[Any, ...]:
    """The one row of a question that always has one, such as a count."""
    with _cursor() as cursor:
        cursor.execute(sql, asked)
        row: tuple[Any, ...] = cursor.fetchone()
        return row


def positional(sql: str, asked: Mapping[str, Any]) -> tuple[str, list[Any]]:
    """The same question with its values in their order, as a queryset takes them."""
    values: list[Any] = []

    def place(found: re.Match[str]) -> str:
        values.append(asked[found[1]])
        return "%s"

    return re.sub(r"%\((\w+)\)s", place, sql), values


@contextmanager
def _cursor() -> Iterator[Any]:
    """A cursor of Django's connection, with its transactions, its errors and its count of queries."""
    connection.ensure_connection()
    with connection.wrap_database_errors:
        raw: Any = _Prepared(connection.connection)
    wrapped = connection.make_debug_cursor(raw) if connection.queries_logged else connection.make_cursor(raw)
    with wrapped as cursor:
        yield cursor
