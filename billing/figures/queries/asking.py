"""Asking with the very days: the database plans each question for them.

A plan that is kept for any days (``web.rows``) reads the whole record, as it can't know that few days are asked for.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, TypeVar

from django.db import connection

T = TypeVar("T")


def rows(made: Callable[..., T], sql: str, asked: Mapping[str, Any]) -> list[T]:
    """What the question finds; ``made`` takes the columns of a row by their names."""
    with connection.cursor() as cursor:
        cursor.execute(sql, asked)
        names = [column.name for column in cursor.description]
        return [made(**dict(zip(names, row, strict=True))) for row in cursor.fetchall()]
