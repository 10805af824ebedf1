"""Rows of a hand-written question to the database, for pages that show many.

The ORM makes a model of every row and a plan of every question, and either costs more than the answer. Where a page
has many rows, or asks many questions, it reads what it shows, and no more, into a named tuple, each column by its
name; the database plans the question once for each connection.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from typing import Any, TypeVar

import psycopg
from django.db import connection
from django.db.models import Model
from psycopg.rows import dict_row, kwargs_row

T = TypeVar("T")
M = TypeVar("M", bound=Model)


class _Prepared(psycopg.Cursor[tuple[Any, ...]]):
    """Sends values beside the question and not inside it, so that the database knows the question again."""

    def execute(self, query: Any, params: Any = None, **how: Any) -> _Prepared:
        """Ask, and let the question be prepared where the settings allow it."""
        super().execute(query, params, **{"prepare": True, **how})
        return self


def rows(made: Callable[..., T], sql: str, asked: Mapping[str, Any]) -> list[T]:
    """What the question finds; ``made`` takes the columns of a row by their names.

    ``sql`` is written in the program, never from what people typed: that comes in by name, in ``asked``. Begin with
    ``%(text)s::text`` and the like where the database cannot tell what a value is.
    """
    with _cursor(kwargs_row(made)) as cursor:
        cursor.execute(sql, asked)
        found: list[T] = cursor.fetchall()
        return found


def rows_as_asked(made: Callable[..., T], sql: str, asked: Mapping[str, Any]) -> list[T]:
    """The same, planned each time for the very values: for a question of some days of a long record.

    A plan that is kept for any days reads the whole record, as it cannot know that few days are asked for.
    """
    with _cursor(kwargs_row(made), is_kept=False) as cursor:
        cursor.execute(sql, asked)
        found: list[T] = cursor.fetchall()
        return found


def figures(sql: str, asked: Mapping[str, Any]) -> dict[str, Any]:
    """The one row of a question that always has one, such as counts, by the names of its columns."""
    with _cursor(dict_row) as cursor:
        cursor.execute(sql, asked)
        row: dict[str, Any] = cursor.fetchone()
        return row


def record(model: type[M], row: Mapping[str, Any], *columns: str, prefix: str = "") -> M:
    """A record with some of its columns, out of a row that has them under ``prefix``; the others are deferred."""
    known = [field.attname for field in model._meta.concrete_fields if field.attname in columns]
    return model.from_db(connection.alias, known, [row[prefix + name] for name in known])


def positional(sql: str, asked: Mapping[str, Any]) -> tuple[str, list[Any]]:
    """The same question with its values in their order, as a queryset takes them."""
    values: list[Any] = []

    def place(found: re.Match[str]) -> str:
        values.append(asked[found[1]])
        return "%s"

    return re.sub(r"%\((\w+)\)s", place, sql), values


@contextmanager
def _cursor(row_factory: Any, *, is_kept: bool = True) -> Iterator[Any]:
    """A cursor of Django's connection, with its transactions, its errors and its count of queries.

    ``is_kept``: whether the database keeps its plan of the question.
    """
    connection.ensure_connection()
    with connection.wrap_database_errors:
        # Where questions are written down, they are to be read with their values.
        kind: Any = _Prepared if is_kept and not connection.queries_logged else psycopg.ClientCursor
        raw = kind(connection.connection, row_factory=row_factory)
    wrapped = connection.make_debug_cursor(raw) if connection.queries_logged else connection.make_cursor(raw)
    with wrapped as cursor:
        yield cursor
