"""The database itself refuses to change the log, and verify_log names what a superuser changed all the same."""

from __future__ import annotations

import io
import time
from collections.abc import Iterator
from contextlib import contextmanager
from decimal import Decimal

import pytest
from django.apps import apps
from django.core.management import CommandError, call_command
from django.db import DatabaseError, connection, transaction

from tests.cast import Cast
from vessels import actions
from vessels.log.chain import GENESIS, entry_body
from vessels.log.registry import all_kinds
from vessels.log.verify import broken_link
from vessels.models import Detail, LogEntry, Vessel

APPEND_ONLY = [LogEntry, *(model for model in apps.get_models() if issubclass(model, Detail))]
CHILDREN = [
    kind.detail_model()._meta.get_field(name).related_model  # type: ignore[union-attr]
    for kind in all_kinds()
    for name in kind.children
]


def sql(statement: str, *values: object) -> int:
    with connection.cursor() as cursor:
        cursor.execute(statement, values)
        return cursor.rowcount


@contextmanager
def as_superuser() -> Iterator[None]:
    """What only the owner of the database server can do."""
    sql("SET CONSTRAINTS ALL IMMEDIATE")
    sql("SET LOCAL session_replication_role = replica")
    yield
    sql("SET LOCAL session_replication_role = origin")


@pytest.fixture
def lived(cast: Cast) -> Cast:
    actions.write_note(by=cast.tech, vessel=cast.vessel, text="first")
    actions.log_hours(by=cast.tech, engine=cast.port, shown=Decimal(100))
    actions.identify_unit(by=cast.tech, unit=cast.port_unit, software="1")
    actions.write_note(by=cast.tech, vessel=cast.vessel, text="fourth")
    return cast


EVERY_TABLE = pytest.mark.parametrize("model", [*APPEND_ONLY, *CHILDREN], ids=lambda model: model._meta.label)
IGNORING = pytest.mark.parametrize("ignoring", [False, True], ids=["plain", "told to ignore triggers"])


@EVERY_TABLE
def test_every_table_of_the_log_is_guarded(db: None, model: type) -> None:
    """A row can only be guarded where its table has the triggers, in force."""
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT tgname FROM pg_trigger JOIN pg_proc ON pg_proc.oid = tgfoid WHERE tgrelid = %s::regclass "
            "AND NOT tgisinternal AND tgenabled = 'O' AND proname = 'garboard_append_only'",
            [model._meta.db_table],
        )
        names = " ".join(row[0] for row in cursor.fetchall())
    assert "no_change" in names
    assert "no_truncate" in names


@EVERY_TABLE
@IGNORING
def test_no_table_of_the_log_can_be_emptied(db: None, model: type, ignoring: bool) -> None:
    table = model._meta.db_table
    with pytest.raises(DatabaseError, match="append-only"), transaction.atomic(), ignored(table, ignoring):
        sql(f"TRUNCATE {table} CASCADE")


@contextmanager
def ignored(table: str, ignoring: bool) -> Iterator[None]:
    """Tell the session to look away, as the trigger library lets one."""
    if ignoring:
        sql("SELECT set_config('pgtrigger.ignore', %s, true)", "{" + ",".join(_trigger_names(table)) + "}")
    yield


def _trigger_names(table: str) -> list[str]:
    with connection.cursor() as cursor:
        cursor.execute("SELECT tgname FROM pg_trigger WHERE tgrelid = %s::regclass AND NOT tgisinternal", [table])
        return [f"{table}:{row[0]}" for row in cursor.fetchall()]


ROWS = ["vessels_logentry", "vessels_hourreading", "vessels_unitidentification"]


@pytest.mark.parametrize("table", ROWS)
@pytest.mark.parametrize("statement", ["UPDATE {0} SET {1} = {1}", "DELETE FROM {0}"])
@IGNORING
def test_a_row_cannot_be_changed_or_deleted(lived: Cast, table: str, statement: str, ignoring: bool) -> None:
    column = "id" if table == "vessels_logentry" else "entry_id"
    with pytest.raises(DatabaseError, match="append-only"), transaction.atomic(), ignored(table, ignoring):
        sql(statement.format(table, column))
    assert broken_link(lived.vessel) is None


def test_the_orm_cannot_either(lived: Cast) -> None:
    entry = LogEntry.objects.first()
    assert entry is not None
    entry.text = "changed"
    with pytest.raises(DatabaseError, match="append-only"), transaction.atomic():
        entry.save()
    with pytest.raises(DatabaseError, match="append-only"), transaction.atomic():
        LogEntry.objects.filter(pk=entry.pk).update(text="changed")


def verify(*vessels: Vessel) -> str:
    out = io.StringIO()
    try:
        call_command("verify_log", *[str(vessel.pk) for vessel in vessels], stdout=out)
    except CommandError as error:
        return out.getvalue() + str(error)
    return out.getvalue()


def test_an_untouched_log_is_proven(lived: Cast) -> None:
    assert "4 entries: every digest agrees" in verify()


COLUMNS = (
    "kind, happened_at, recorded_at, engine_hours, summary, text, digest, amends_id, author_id, vessel_id, "
    "engine_id, job_id"
)
TAMPERINGS = {
    "text of an entry": ("UPDATE vessels_logentry SET text = 'x' WHERE position = 1", 1),
    "time of an entry": (
        "UPDATE vessels_logentry SET happened_at = happened_at - interval '1 day' WHERE position = 4",
        4,
    ),
    "author of an entry": (
        "UPDATE vessels_logentry SET author_id = (SELECT id FROM staff_person WHERE username = 'orla') "
        "WHERE position = 1",
        1,
    ),
    "detail of an entry": ("UPDATE vessels_hourreading SET shown = 99", 2),
    "detail taken away": ("DELETE FROM vessels_unitidentification", 3),
    "kind of an entry": ("UPDATE vessels_logentry SET kind = 'retraction' WHERE position = 4", 4),
    "first entry gone": ("DELETE FROM vessels_logentry WHERE position = 1", 1),
    "middle entry gone": ("DELETE FROM vessels_logentry WHERE position = 3", 3),
    "last entry gone": ("DELETE FROM vessels_logentry WHERE position = 4", 4),
    "two entries swapped": (
        "UPDATE vessels_logentry SET position = 10 - position WHERE position IN (4, 1); "
        "UPDATE vessels_logentry SET position = CASE position WHEN 9 THEN 4 ELSE 1 END WHERE position > 4",
        1,
    ),
    "an entry slipped in": (
        f"INSERT INTO vessels_logentry (id, position, {COLUMNS}) "
        f"SELECT gen_random_uuid(), 5, {COLUMNS} FROM vessels_logentry WHERE position = 4",
        5,
    ),
}


@pytest.mark.parametrize("what", TAMPERINGS)
def test_a_superusers_change_is_named(lived: Cast, what: str) -> None:
    statement, position = TAMPERINGS[what]
    with as_superuser():
        for part in statement.split("; "):
            assert sql(part) >= 1
    link = broken_link(lived.vessel)
    assert link is not None
    assert link.position == position
    said = verify(lived.vessel)
    assert f"BROKEN vessel {lived.vessel.pk}" in said
    assert "is not what was written" in said


DETAILS = [model for model in APPEND_ONLY if issubclass(model, Detail)]


@pytest.mark.parametrize("model", DETAILS, ids=lambda model: model._meta.label)
def test_details_put_under_the_key_of_another_entry_are_named(lived: Cast, model: type[Detail]) -> None:
    """Whoever may add rows could have evidence stand in the log under a note, which would still be what it was."""
    note = LogEntry.objects.get(text="first")
    with as_superuser():
        columns = [field for field in model._meta.concrete_fields if not field.null]
        sql(
            f"INSERT INTO {model._meta.db_table} ({', '.join(str(one.column) for one in columns)}) "
            f"VALUES ({', '.join(_any_value(one) for one in columns)})",
            note.pk,
        )
    assert broken_link(lived.vessel) is None
    what = f"was put to entry 1 of vessel {lived.vessel.pk}, which is of another kind (note)"
    assert what in verify()
    assert what in verify(lived.vessel)
    assert "every digest agrees" in verify(actions.add_vessel(by=lived.desk, owner=lived.customer, name="Ibis"))


def _any_value(field: object) -> str:
    """A value that the column takes, in SQL; the key is asked for."""
    if getattr(field, "primary_key", False):
        return "%s"
    of = str(field.db_type(connection))  # type: ignore[attr-defined]
    return {"jsonb": "'{}'", "boolean": "true", "uuid": "gen_random_uuid()"}.get(
        of, "now()" if of.startswith(("time", "date")) else "'1'"
    )


def test_a_detail_without_an_entry_is_named(lived: Cast) -> None:
    with as_superuser():
        sql("DELETE FROM vessels_logentry WHERE position = 2")
    assert "belongs to no entry of the log" in verify()


def test_a_disabled_trigger_is_how_a_superuser_gets_in(lived: Cast) -> None:
    sql("SET CONSTRAINTS ALL IMMEDIATE")
    sql("ALTER TABLE vessels_logentry DISABLE TRIGGER USER")
    sql("UPDATE vessels_logentry SET summary = 'nothing happened' WHERE position = 2")
    sql("ALTER TABLE vessels_logentry ENABLE TRIGGER USER")
    link = broken_link(lived.vessel)
    assert link is not None
    assert (link.position, link.entry.position if link.entry else None) == (2, 2)
    assert "entry 2 is not what was written" in verify()


def test_only_the_tampered_vessel_is_named(lived: Cast) -> None:
    other = actions.add_vessel(by=lived.desk, owner=lived.customer, name="Ibis")
    with as_superuser():
        sql("UPDATE vessels_logentry SET text = 'x' WHERE vessel_id = %s", other.pk)
    said = verify()
    assert f"BROKEN vessel {other.pk} (Ibis)" in said
    assert f"vessel {lived.vessel.pk} " not in said


def test_a_child_row_is_covered(lived: Cast) -> None:
    """Child rows are covered through the registry, whatever app registers them."""
    kinds = [kind for kind in all_kinds() if kind.children]
    assert kinds, "no kind with child rows is registered"
    entry = LogEntry.objects.filter(kind="hours").get()
    detail = entry_detail(entry)
    alone = entry_body(entry, detail, [])
    assert entry_body(entry, detail, [lived.port_unit]) != alone
    assert entry_body(entry, None, []) != alone


def entry_detail(entry: LogEntry) -> object:
    from vessels.models import HourReading

    return HourReading.objects.get(pk=entry.pk)


def test_a_digest_follows_from_the_one_before(lived: Cast) -> None:
    from engineering.canonical import chain_digest

    previous = GENESIS
    for entry in lived.vessel.log.order_by("position"):
        detail = {"hours": "hourreading", "unit-identified": "unitidentification"}.get(entry.kind)
        row = apps.get_model("vessels", detail).objects.get(pk=entry.pk) if detail else None
        assert chain_digest(previous, entry_body(entry, row, [])) == entry.digest
        previous = entry.digest
    lived.vessel.refresh_from_db()
    assert lived.vessel.log_digest == previous


@pytest.mark.slow
def test_a_long_log_is_proven_quickly(cast: Cast) -> None:
    """2,000 entries take well under the time that 100,000 may take in fifty times as many."""
    from tests.vessels.long_log import lengthen

    lengthen(cast, 2000)
    took = []
    while not took or (min(took) >= 2.0 and len(took) < 10):  # a busy machine gets another try
        began = time.perf_counter()
        assert broken_link(cast.vessel) is None
        took.append(time.perf_counter() - began)
    assert min(took) < 2.0


def test_a_chain_that_ends_on_another_digest_than_its_boat_keeps_is_broken(lived: Cast) -> None:
    """Every link agrees with the one before; only what the boat keeps as its last shows that the end was exchanged."""
    with as_superuser():
        sql("UPDATE vessels_vessel SET log_digest = %s WHERE id = %s", "f" * 64, lived.vessel.pk)
    link = broken_link(lived.vessel)
    assert link is not None
    assert (link.position, link.entry) == (4, None)
    assert link.sentence == "the last digest is not the one that the vessel keeps"
