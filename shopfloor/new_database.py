"""An empty database is given all its tables at once, as the migrations would leave them one after the other.

Django draws up all models again for nearly every step of a migration, thousands of them for a database in which there
is nothing to move. The file beside this one is what the steps came to when it was written, with the names of those
steps; later ones are applied on top of it. ``docs/decisions/0199`` says what holds it to them.
"""

from __future__ import annotations

from collections.abc import Collection
from pathlib import Path

from django.db import connection, transaction
from django.db.migrations.loader import MigrationLoader

FILE = Path(__file__).with_name("new_database.sql")
STEP = "-- step "
IS_EMPTY = """
SELECT NOT EXISTS (SELECT FROM pg_class WHERE relnamespace = 'public'::regnamespace)
   AND NOT EXISTS (SELECT FROM pg_proc WHERE pronamespace = 'public'::regnamespace)
   AND current_schema() = 'public'
"""


def steps_of(text: str) -> list[tuple[str, str]]:
    """The migrations that the text stands for, in the order in which they ran: label of the app, and name."""
    found = []
    for line in text.splitlines():
        if not line.startswith(STEP):
            break
        app, name = line.removeprefix(STEP).split(".", 1)
        found.append((app, name))
    return found


def stands_for(steps: Collection[tuple[str, str]], known: Collection[tuple[str, str]]) -> bool:
    """Whether each of these steps is one of the program's: a library may have left, or renamed, what it once had."""
    return bool(steps) and all(step in known for step in steps)


def lay_out_if_empty() -> bool:
    """Give a database without tables all of them, with the record of the migrations that this stands for.

    Any other database is left as it is, and what the file does not know yet is left to ``migrate``. Needs the role that
    owns the tables. True if tables were made.
    """
    text = FILE.read_text(encoding="utf-8")
    with transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(IS_EMPTY)
        if cursor.fetchone() != (True,):
            return False
        steps = steps_of(text)
        if not stands_for(steps, MigrationLoader(None).disk_migrations):
            return False
        cursor.execute("SET LOCAL check_function_bodies = off")  # they name tables that come later
        cursor.execute(text)
        cursor.executemany(
            "INSERT INTO django_migrations (app, name, applied) VALUES (%s, %s, statement_timestamp())", steps
        )
    return True
