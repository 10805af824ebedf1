"""The way back: from a backup to database, files and keys. Nothing is touched before all of the backup was proven."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import IO

import psycopg
from django.conf import settings
from django.db import connections

from commands.refusals import Refused
from files import durable, store, troubles
from shopfloor.backup import postgresql
from shopfloor.backup.checking import check, entries_of
from shopfloor.backup.description import DATABASE, FILES, KEYS, Description
from shopfloor.readiness import unknown_migration
from shopfloor.version import VERSION


def restore_backup(path: Path, passphrase: str, *, overwrite: bool = False) -> Description:
    """Put everything back as it was when the backup was made.

    Raises:
        SealError: the backup is damaged, or the passphrase is another one.
        Refused: the place is not empty, somebody is at work in it, or the backup was made by another version.
        ProgramFailedError: the database refused it, and is as it was.
    """
    description = check(path, passphrase)
    _refuse_another_version(description)
    connections.close_all()
    with psycopg.connect(**postgresql.parameters()) as asking:
        _refuse_company(asking)
        if not overwrite:
            _refuse_what_is_there(asking)
    loading = postgresql.Loading(clear=overwrite)
    keys: dict[str, bytes] = {}
    try:
        with entries_of(path, passphrase) as entries:
            for name, stream in entries:
                if name.startswith(DATABASE):
                    loading.write(_without_strangers(stream.read()))
                elif name.startswith(FILES):
                    _keep(name.removeprefix(FILES), stream)
                elif name.startswith(KEYS):
                    keys[name.removeprefix(KEYS)] = stream.read()
        loading.commit()
    finally:
        loading.close()
    _put_keys(keys)
    _prove(description)
    return description


def _without_strangers(piece: bytes) -> bytes:
    """Leave out the one setting that servers older than the program's pg_dump do not know."""
    return piece.replace(b"\nSET transaction_timeout = 0;\n", b"\n", 1)


def _refuse_another_version(description: Description) -> None:
    strange = unknown_migration((app, name) for app, name in description.migrations)
    if strange:
        raise Refused(
            f"This backup was made by another version of the program: version {VERSION} does not know {strange}. "
            "Install the version that made it and restore with that."
        )


def _refuse_company(asking: psycopg.Connection[tuple[object, ...]]) -> None:
    row = asking.execute(
        "SELECT count(*) FROM pg_stat_activity WHERE datname = current_database() AND pid <> pg_backend_pid() "
        "AND backend_type = 'client backend'"
    ).fetchone()
    if row and row[0]:
        raise Refused("The program is running on this database. Stop it first (web, worker and beat), then restore.")


def _refuse_what_is_there(asking: psycopg.Connection[tuple[object, ...]]) -> None:
    row = asking.execute(
        "SELECT count(*) FROM pg_class WHERE relkind = 'r' AND relnamespace = 'public'::regnamespace"
    ).fetchone()
    there = []
    if row and row[0]:
        there.append(f"the database has {row[0]} tables")
    if store.stored_digests():
        there.append(f"{settings.MEDIA_ROOT} has files")
    if any((settings.VAR / "signing").glob("*.p12")):
        there.append(f"{settings.VAR / 'signing'} has a certificate")
    if there:
        raise Refused(
            f"This place is not empty: {'; '.join(there)}. Restore into an empty one (another GARBOARD_VAR or "
            "DATABASE_URL), or add --overwrite to delete what is there."
        )


def _keep(digest: str, stream: IO[bytes]) -> None:
    target = store.path_of(digest)
    if store.is_whole(digest):
        return
    durable.make_folder(target.parent)
    durable.write(target, _pieces(stream))
    troubles.forget(digest)


def _pieces(stream: IO[bytes]) -> Iterator[bytes]:
    while piece := stream.read(store.PIECE):
        yield piece


def _put_keys(keys: dict[str, bytes]) -> None:
    """Put the keys back; what stood in their place is kept beside them."""
    for name, data in keys.items():
        target = settings.VAR / name
        durable.make_folder(target.parent)
        if target.exists() and target.read_bytes() != data:
            target.replace(target.with_name(f"{target.name}.before-restore"))
        durable.write(target, [data])


def _prove(description: Description) -> None:
    """Hold every table and file that is there now against the backup's description."""
    with psycopg.connect(**postgresql.parameters()) as reader:
        tables = postgresql.table_digests(reader)
    differing = sorted(name for name, facts in description.tables.items() if tables.get(name) != facts)
    if differing:
        raise Refused(f"These tables are not what the backup says: {', '.join(differing)}. Do not work with them.")
    files = [name.removeprefix(FILES) for name in description.entries if name.startswith(FILES)]
    if lost := [digest for digest in files if not store.is_whole(digest)]:
        raise Refused(f"{len(lost)} file(s) are not what the backup says. Do not work with them.")
