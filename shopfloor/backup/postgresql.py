"""PostgreSQL's own programs, and the digests by which two databases are known to hold the same."""

from __future__ import annotations

import os
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from typing import Any

import psycopg
from psycopg import sql

from shopfloor.postgres import binaries
from shopfloor.roles import owner_place

WITHOUT_ROWS = ["cache_entries", "django_session"]  # whoever is logged in has to log in again
_SSL = ["sslmode", "sslrootcert", "sslcert", "sslkey"]


class ProgramFailedError(RuntimeError):
    """One of PostgreSQL's programs ended with an error; the message says what it said."""


def parameters() -> dict[str, Any]:
    """How to reach the database, with the role that owns the tables."""
    place = owner_place()
    options = {name: place["OPTIONS"][name] for name in ["host", *_SSL] if name in place["OPTIONS"]}
    named = {"host": place["HOST"], "port": place["PORT"], "user": place["USER"], "password": place["PASSWORD"]}
    return {name: str(value) for name, value in (named | options).items() if value} | {"dbname": place["NAME"]}


def environment() -> dict[str, str]:
    """The same for PostgreSQL's programs; a password must not stand in a command line that everybody can list."""
    plain = {name: value for name, value in os.environ.items() if not name.startswith("PG")}
    names = {"host": "PGHOST", "port": "PGPORT", "user": "PGUSER", "password": "PGPASSWORD", "dbname": "PGDATABASE"}
    names |= {name: f"PG{name.upper()}" for name in _SSL}
    return plain | {names[name]: str(value) for name, value in parameters().items()} | {"LC_ALL": "C"}


def program(name: str) -> str:
    """The path of one of PostgreSQL's programs: of those that come with this one, else of the system's."""
    inside = binaries() / name
    if inside.exists():
        return str(inside)
    elsewhere = shutil.which(name)
    if elsewhere is None:
        raise ProgramFailedError(f"PostgreSQL's program {name} is not installed.")
    return elsewhere


@contextmanager
def snapshot() -> Iterator[tuple[psycopg.Connection[Any], str]]:
    """One moment of the database, for several readers: a connection that stands in it, and its name."""
    with psycopg.connect(**parameters()) as reader:
        reader.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ, READ ONLY")
        row = reader.execute("SELECT pg_export_snapshot()").fetchone()
        yield reader, str(row[0]) if row else ""


def dump(of_snapshot: str) -> Iterator[bytes]:
    """The database as SQL, as it stood at one moment, piece by piece.

    Raises:
        ProgramFailedError: pg_dump did not come to its end.
    """
    command = [program("pg_dump"), "--format=plain", "--no-owner", "--no-privileges", f"--snapshot={of_snapshot}"]
    command += [f"--exclude-table-data={table}" for table in WITHOUT_ROWS]
    with subprocess.Popen(  # noqa: S603  fixed program
        command, env=environment(), stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, stderr=subprocess.PIPE
    ) as process:
        assert process.stdout is not None  # noqa: S101  asked for above
        assert process.stderr is not None  # noqa: S101
        while piece := process.stdout.read(4 * 1024 * 1024):
            yield piece
        said = process.stderr.read().decode(errors="replace").strip()
    if process.returncode:
        raise ProgramFailedError(f"The database could not be read: {said[-600:]}")


class Loading:
    """Puts SQL into the database in one transaction, which ``commit`` ends. Leaving early leaves nothing behind."""

    def __init__(self, *, clear: bool) -> None:
        self._said = tempfile.TemporaryFile()  # noqa: SIM115  closed with the rest
        command = [program("psql"), "--no-psqlrc", "--quiet", "--set=ON_ERROR_STOP=1", "--output=/dev/null"]
        self._process = subprocess.Popen(  # noqa: S603  fixed program
            command, env=environment(), stdin=subprocess.PIPE, stdout=subprocess.DEVNULL, stderr=self._said
        )
        self._last_words = ""
        begin = "BEGIN;\nDROP SCHEMA public CASCADE;\n" if clear else "BEGIN;\nDROP SCHEMA public;\n"
        begin += "CREATE SCHEMA public;\n"
        self.write(f"{begin}SET client_min_messages = warning;\n".encode())

    def write(self, piece: bytes) -> None:
        """Some more SQL."""
        assert self._process.stdin is not None  # noqa: S101  asked for above
        try:
            self._process.stdin.write(piece)
        except BrokenPipeError as problem:
            raise ProgramFailedError(self._why()) from problem

    def commit(self) -> None:
        """Make it true.

        Raises:
            ProgramFailedError: something in it was refused; the database is as it was.
        """
        self.write(b"\nCOMMIT;\n")
        self.close()
        if self._process.returncode:
            raise ProgramFailedError(self._why())

    def close(self) -> None:
        """End it; what was not committed is gone."""
        if self._process.stdin is not None and not self._process.stdin.closed:
            with suppress(BrokenPipeError):
                self._process.stdin.close()
        self._process.wait()
        if not self._said.closed:
            self._said.seek(0)
            self._last_words = self._said.read().decode(errors="replace").strip()[-600:]
            self._said.close()

    def _why(self) -> str:
        self.close()
        return f"The database refused the backup: {self._last_words}"


def table_digests(reader: psycopg.Connection[Any]) -> dict[str, list[str]]:
    """For each table its number of rows and a digest over all of them, whatever their order."""
    reader.execute("SET LOCAL TimeZone = 'UTC'")
    reader.execute("SET LOCAL DateStyle = 'ISO'")
    names = reader.execute(
        "SELECT relname FROM pg_class WHERE relkind = 'r' AND relnamespace = 'public'::regnamespace ORDER BY relname"
    ).fetchall()
    found = {}
    for (name,) in names:
        if name in WITHOUT_ROWS:
            continue
        query = sql.SQL(
            "SELECT count(*)::text, coalesce(sum(('x' || left(md5(t::text), 16))::bit(64)::bigint::numeric), 0)::text "
            "FROM {} AS t"
        ).format(sql.Identifier("public", name))
        row = reader.execute(query).fetchone()
        found[str(name)] = [str(value) for value in row or []]
    return found
