"""Two roles of the database: one that owns the tables and changes them, and one that the program works with.

The second can neither switch a trigger off, nor drop one, nor empty a table past it: what the log refuses to the
program it refuses to whoever gets into the program as well. ``docs/decisions/0021`` says what that does not do.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from django.conf import settings
from django.db import DatabaseError, connection

from shopfloor import grants

TOO_STRONG = """
SELECT rolsuper
    OR EXISTS (SELECT FROM pg_class WHERE relkind = 'r' AND relnamespace = to_regnamespace('public')
               AND pg_has_role(relowner, 'USAGE'))
    OR has_parameter_privilege('session_replication_role', 'SET')
FROM pg_roles WHERE rolname = current_user
"""


def owner_place() -> dict[str, Any]:
    """How to reach the database as the role that owns the tables; the program's own way where there is no other."""
    place = dict(connection.settings_dict)
    if settings.OWNER_DATABASE:
        place |= {name: settings.OWNER_DATABASE.get(name, "") for name in ["HOST", "PORT", "USER", "PASSWORD"]}
        place["OPTIONS"] = place["OPTIONS"] | settings.OWNER_DATABASE.get("OPTIONS", {})
    return place


@contextmanager
def as_owner() -> Iterator[None]:
    """Work as the role that owns the tables, on a connection of its own; for migrations and the like."""
    if not settings.OWNER_DATABASE:
        yield
        return
    before = connection.settings_dict
    connection.close()
    connection.settings_dict = owner_place()
    try:
        yield
    finally:
        connection.close()
        connection.settings_dict = before


def let_the_program_in() -> None:
    """Make the program's role where there is none, and give it what it needs. Only as the owner."""
    if not settings.OWNER_DATABASE:
        return
    place = settings.DATABASES["default"]
    role = str(place["USER"])
    with connection.cursor() as cursor:
        cursor.execute("SELECT 1 FROM pg_roles WHERE rolname = %s", [role])
        if cursor.fetchone() is None:
            cursor.execute(grants.create(role, str(place["PASSWORD"])))
        cursor.execute(grants.LACKING, {"role": role})
        if cursor.fetchone() != (False,):
            for statement in grants.statements(role):
                cursor.execute(statement)


def program_is_too_strong() -> bool:
    """Whether the role that asks could switch the log's triggers off."""
    try:
        with connection.cursor() as cursor:
            cursor.execute(TOO_STRONG)
            row = cursor.fetchone()
    except DatabaseError:
        return False
    return bool(row and row[0])
