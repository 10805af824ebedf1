"""What has to be done before anyone is served: a database of the right age with its tables, and the static files."""

from __future__ import annotations

import fcntl
import hashlib
import importlib
from collections.abc import Iterable
from pathlib import Path

import django
import psycopg
from django.conf import settings
from django.contrib.staticfiles.finders import get_finders
from django.core.management import call_command
from django.core.management.commands.migrate import Command as Migrate
from django.db import OperationalError, connection
from django.db.migrations.executor import MigrationExecutor
from django.db.migrations.loader import MigrationLoader
from django.db.migrations.recorder import MigrationRecorder

from shopfloor.collecting import CollectedFiles
from shopfloor.health import redis_answers
from shopfloor.new_database import lay_out_if_empty
from shopfloor.roles import as_owner, let_the_program_in
from shopfloor.version import VERSION

OLDEST_POSTGRESQL = 15
EARLIER = {"findings"}  # the label of an app that has since become several


# What is imported where it is used, as most commands have no use for it; a page or a paper does not wait for it.
SHARED = ["files.paper.kept_key", "files.paper.stamping", "jsonschema", "pint", "weasyprint"]
_HELD: list[object] = []  # locks that last as long as the process


class NotReadyError(RuntimeError):
    """Something that has to be there is not; the message says what to do."""


def take_folder_for_demo() -> None:
    """Refuse a second demo in the same folder: both would fill one database, and neither would be whole."""
    file = (settings.VAR / "demo.lock").open("ab")
    try:
        fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError as problem:
        file.close()
        raise NotReadyError(
            f"A demo is running in {settings.VAR} already, perhaps in another window. Use that one, stop it first, or "
            "set GARBOARD_VAR to another folder."
        ) from problem
    _HELD.append(file)


def refuse_absent_services() -> None:
    """The database answers and is new enough, and Redis answers where it is set."""
    which = "MIGRATION_DATABASE_URL" if settings.OWNER_DATABASE else "DATABASE_URL"
    with as_owner():
        try:
            connection.ensure_connection()
        except OperationalError as problem:
            is_told = isinstance(problem.__cause__, psycopg.Error)
            reason = str(problem).strip().splitlines()[0] if is_told else str(problem)
            raise NotReadyError(
                f"The database named in {which} does not answer: {reason}. Start it, or correct {which}."
            ) from problem
        version = connection.pg_version // 10_000  # type: ignore[attr-defined]  # of the PostgreSQL backend
    if version < OLDEST_POSTGRESQL:
        raise NotReadyError(f"PostgreSQL {version} is too old. Use {OLDEST_POSTGRESQL} or newer.")
    if settings.REDIS_URL and not redis_answers():
        raise NotReadyError("Redis, named in REDIS_URL, does not answer. Start it, or correct REDIS_URL.")


def unknown_migration(had: Iterable[tuple[str, str]]) -> str:
    """The first of these migrations that this version does not know, or nothing.

    A newer version has others, and so has one from before 0.4, when the migrations were begun anew.
    """
    known = MigrationLoader(None).disk_migrations
    ours = {app for app, _ in known} | EARLIER
    return next((f"{app}.{name}" for app, name in sorted(had) if app in ours and (app, name) not in known), "")


def refuse_strange_database() -> None:
    """The database was made by this version or by one that it can bring up to date."""
    strange = unknown_migration(MigrationRecorder(connection).applied_migrations())
    if strange:
        raise NotReadyError(
            f"The database was made by another version of the program: version {VERSION} does not know {strange}. "
            "Start the version that made it. A database from before 0.4 can't be brought up to date. Nothing in it was "
            "changed."
        )


def make_tables() -> None:
    """Apply the migrations that are missing and make the cache's table: one process at a time, as the tables' owner."""
    with as_owner(), connection.cursor() as cursor:
        # Two web processes that start at once take turns; the second finds nothing left to do.
        cursor.execute("SELECT pg_advisory_lock(hashtext('garboard migrations'))")
        try:
            refuse_strange_database()
            is_new = lay_out_if_empty()
            executor = MigrationExecutor(connection)
            if is_new or executor.migration_plan(executor.loader.graph.leaf_nodes()):
                call_command(Migrate(), interactive=False, verbosity=0)
            call_command("createcachetable", verbosity=0)
            let_the_program_in()
        finally:
            cursor.execute("SELECT pg_advisory_unlock(hashtext('garboard migrations'))")


def collect_static_files() -> None:
    """Lay out the static files, hashed and compressed, unless those laid out are of the same sources."""
    root = Path(settings.STATIC_ROOT)
    mark = root / "sources.sha256"
    digest = _digest_of_sources()
    if mark.exists() and mark.read_text() == digest:
        return
    call_command("collectstatic", interactive=False, verbosity=0)
    mark.write_text(digest)


def _digest_of_sources() -> str:
    digest = hashlib.sha256(django.__version__.encode())
    for finder in get_finders():
        for path, storage in finder.list(CollectedFiles.ignore_patterns):
            size, changed = storage.size(path), storage.get_modified_time(path).timestamp()
            digest.update(f"{path}\0{size}\0{changed}\0".encode())
    return digest.hexdigest()


def load_what_is_shared() -> None:
    """Load what the processes that are forked from here would load each for itself, and while somebody waits."""
    for name in SHARED:
        importlib.import_module(name)
