"""The rows that a scene writes: told once through the actions of the house, and put back for every further test."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

from django.db import connection


@dataclass
class KeptRows:
    """A scene on an empty stage. Its rows come back with their keys, times and digests as they were written."""

    tell: Callable[[], object]
    rows: dict[str, bytes] = field(default_factory=dict)
    """By table with its columns, as COPY reads them."""
    sequences: list[str] = field(default_factory=list)
    """Statements that let the numbering of these tables go on behind them."""

    def put(self) -> None:
        """Put the rows into the transaction that a test is in; the first time, tell the scene.

        Raises:
            RuntimeError: the scene changes rows that were there before it, which could not be put back.
        """
        if self.rows:
            self._put_back()
            return
        tables = _tables()
        before = {table: _lines(table) for table in tables}
        self.tell()
        for table, key in tables.items():
            now = _lines(table)
            if not before[table] <= now:
                raise RuntimeError(f"The scene changes what is in {table}")
            if new := now - before[table]:
                self.rows[table] = b"\n".join(sorted(new)) + b"\n"
                if key:
                    self.sequences.append(key)

    def _put_back(self) -> None:
        with connection.cursor() as cursor:
            cursor.execute("SET LOCAL session_replication_role = replica")  # they have passed their triggers once
            for table, lines in self.rows.items():
                with cursor.copy(f"COPY {table} FROM STDIN") as copy:
                    copy.write(lines)
            for statement in self.sequences:
                cursor.execute(statement)
            cursor.execute("SET LOCAL session_replication_role = origin")


def _tables() -> dict[str, str]:
    """Every table with the columns that are written, and how its numbering is set behind the highest number."""
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT format('%I (%s)', table_name,"
            "   string_agg(format('%I', column_name), ', ' ORDER BY ordinal_position)),"
            " (SELECT format('SELECT setval(%L, greatest((SELECT max(%I) FROM %I), (SELECT last_value FROM %s)))',"
            "     sequence, key, one.table_name, sequence)"
            "   FROM (SELECT column_name AS key, pg_get_serial_sequence(format('%I', key_of.table_name), column_name)"
            "           AS sequence FROM information_schema.columns AS key_of"
            "         WHERE key_of.table_schema = 'public' AND key_of.table_name = one.table_name) AS numbered"
            "   WHERE sequence IS NOT NULL)"
            " FROM information_schema.columns AS one JOIN information_schema.tables USING (table_schema, table_name)"
            " WHERE table_schema = 'public' AND table_type = 'BASE TABLE' AND is_generated = 'NEVER'"
            " GROUP BY table_name"
        )
        return {table: key or "" for table, key in cursor.fetchall()}


def _lines(table: str) -> set[bytes]:
    with connection.cursor() as cursor, cursor.copy(f"COPY {table} TO STDOUT") as copy:
        return set(b"".join(copy).splitlines())
