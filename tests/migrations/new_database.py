"""Databases made by the steps of the migrations, and what they come to as text.

``python -m tests.migrations.new_database`` writes ``shopfloor/new_database.sql`` from all steps there are. Nothing
has to be written again when a migration is added, as it is applied on top; every some dozen of them it saves time.
"""

from __future__ import annotations

import atexit
import os
import re
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import psycopg
from django.core.management import call_command
from django.core.management.commands.migrate import Command as DjangoMigrate
from django.db import connection
from psycopg import sql

from shopfloor.backup import postgresql
from shopfloor.new_database import FILE, STEP

RESTRICTED = re.compile(r"^\\(?:un)?restrict .*\n", re.MULTILINE)  # with a word that is drawn for each dump
# Bodies of functions stay to the letter; outside of them goes what pg_dump says of itself and sets for its session.
OWN_WORDS = re.compile(
    r"(?s:(?P<body>(?P<quote>\$\w*\$).*?(?P=quote)))|^(?:--.*|SET .*;|SELECT pg_catalog\.set_config\(.*;)?\n", re.MULTILINE
)

# PostgreSQL says IN in words that it takes for something else when it reads them again; the condition is the same.
ANY_OF = re.compile(
    r"""\((\w+|"\w+")\)::text = ANY \((?:\(ARRAY\[(?P<once>(?:'[^']*'::character varying(?:, )?)+)\]\)::text\[\]"""
    r"""|ARRAY\[(?P<again>(?:\('[^']*'::character varying\)::text(?:, )?)+)\])\)"""
)
OF_A_TYPE = re.compile(r"\(?('[^']*')::character varying(?:\)::text)?")


@contextmanager
def empty_database(name: str) -> Iterator[None]:
    """Work with a new database of this name, which is gone afterwards."""
    place = postgresql.parameters()
    with psycopg.connect(**(place | {"dbname": "postgres"}), autocommit=True) as server:
        server.execute(sql.SQL("DROP DATABASE IF EXISTS {}").format(sql.Identifier(name)))
        server.execute(sql.SQL("CREATE DATABASE {} TEMPLATE template0").format(sql.Identifier(name)))
        before = connection.settings_dict
        connection.close()
        connection.settings_dict = before | {"NAME": name}
        try:
            yield
        finally:
            connection.close()
            connection.settings_dict = before
            server.execute(sql.SQL("DROP DATABASE {}").format(sql.Identifier(name)))


def by_steps() -> None:
    """Apply every migration, one after the other: the framework's own command knows no shorter way."""
    call_command(DjangoMigrate(), interactive=False, verbosity=0)


def layout() -> str:
    """Tables, columns, constraints, indexes, functions and triggers of the database that is worked with, as SQL."""
    command = [postgresql.program("pg_dump"), "--schema-only", "--no-owner", "--no-privileges"]
    said = subprocess.run(command, env=postgresql.environment(), check=True, capture_output=True, text=True).stdout
    return RESTRICTED.sub("", said)


def with_in(sql_of_tables: str) -> str:
    """The same SQL with the conditions that PostgreSQL words in one of two ways said as people do."""

    def said(found: re.Match[str]) -> str:
        return f"{found[1]} IN ({', '.join(OF_A_TYPE.findall(found['once'] or found['again']))})"

    return ANY_OF.sub(said, sql_of_tables)


def rows(query: str) -> list[tuple[object, ...]]:
    """What the database answers."""
    with connection.cursor() as cursor:
        cursor.execute(query)
        return cursor.fetchall()


def written() -> str:
    """The text of the file for the database that is worked with."""
    steps = rows("SELECT app, name FROM django_migrations ORDER BY id")
    tables = with_in(OWN_WORDS.sub(lambda found: found["body"] or "", layout()))
    return "".join(f"{STEP}{app}.{name}\n" for app, name in steps) + tables


def main() -> None:
    """Write the file."""
    folder = tempfile.mkdtemp(prefix="garboard-")
    atexit.register(shutil.rmtree, folder)  # after the database has let go of it
    Path(folder).chmod(0o755)
    os.environ |= {"GARBOARD_VAR": folder, "GARBOARD_SETTINGS": os.devnull}
    os.environ |= {"DJANGO_SETTINGS_MODULE": "shopfloor.settings"}
    from shopfloor.database import start_database

    start_database(durable=False)
    import django

    django.setup()
    by_steps()
    FILE.write_text(written(), encoding="utf-8")
    print(f"{FILE}: {FILE.stat().st_size} bytes")


if __name__ == "__main__":
    main()
