"""The database that every run copies: migrated once, kept beside the test databases until a migration changes.

What was migrated after the copy was made is still applied to it, as the run migrates its own database as ever; only
what has been taken back makes a new copy necessary.
"""

from __future__ import annotations

import fcntl
import hashlib
import inspect
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import psycopg
from django.apps import apps
from django.conf import settings
from django.db import connections

from findings.readings.parameters import seed_parameters
from shopfloor import new_database
from shopfloor.database import ROOT

PREFIX = "template_garboard_"
SEEDS = [seed_parameters]  # what writes rows after a migration


def digest() -> str:
    """Of what fills a database: the migrations, what is sown after them, and the libraries' versions."""
    files = {ROOT / "requirements" / "base.txt", new_database.FILE}
    for app in apps.get_app_configs():
        if ROOT in Path(app.path).parents and ROOT / ".venv" not in Path(app.path).parents:
            files.update((Path(app.path) / "migrations").glob("*.py"))
    files.update(Path(inspect.getfile(seed)) for seed in SEEDS)
    found = hashlib.sha256()
    for file in sorted(files):
        found.update(f"{file.relative_to(ROOT)}\0".encode() + hashlib.sha256(file.read_bytes()).digest())
    return found.hexdigest()[:16]


def template_database(around: Path) -> str:
    """The name of the database to copy, made if there is none; one process makes it, the others wait for it."""
    name = PREFIX + digest()
    with _turn(around / "template.lock"), _server() as server:
        there = {row[0] for row in server.execute("SELECT datname FROM pg_database WHERE starts_with(datname, %s)",
                                                  [PREFIX])}  # fmt: skip
        if name not in there:
            for old in there:
                server.execute(f'DROP DATABASE "{old}"')
            _migrate(f"{name}_unfinished")
            server.execute(f'ALTER DATABASE "{name}_unfinished" RENAME TO "{name}"')
    return name


@contextmanager
def _turn(file: Path) -> Iterator[None]:
    with file.open("ab") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        yield


@contextmanager
def _server() -> Iterator[psycopg.Connection[tuple[str]]]:
    place = connections["default"].settings_dict
    with psycopg.connect(
        host=place["OPTIONS"]["host"], user=place["USER"], dbname="postgres", autocommit=True
    ) as server:
        yield server


def _migrate(name: str) -> None:
    """Make a database of this name as the framework makes the one of a run."""
    connection = connections["default"]
    named, tests_name = connection.settings_dict["NAME"], connection.settings_dict["TEST"]["NAME"]
    connection.settings_dict["TEST"]["NAME"] = name
    try:
        connection.creation.create_test_db(verbosity=0, autoclobber=True, serialize=False)
    finally:
        connection.close()
        connection.settings_dict["TEST"]["NAME"] = tests_name
        connection.settings_dict["NAME"] = settings.DATABASES["default"]["NAME"] = named
