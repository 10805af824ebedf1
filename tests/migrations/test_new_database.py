"""A database that was given its tables at once is the one that the steps of the migrations make."""

from __future__ import annotations

import io
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import psycopg
import pytest
from django.core.management import call_command
from django.core.management.commands.migrate import Command as DjangoMigrate
from django.db import ProgrammingError, connection
from django.db.migrations.loader import MigrationLoader

from shopfloor import new_database
from shopfloor.backup import postgresql
from shopfloor.readiness import make_tables
from tests.migrations.new_database import by_steps, empty_database, layout, rows, written

TABLES = "SELECT relname FROM pg_class WHERE relnamespace = 'public'::regnamespace AND relkind = 'r' ORDER BY relname"
APPLIED = "SELECT app, name FROM django_migrations ORDER BY app, name"
OWN = {"authorizations", "faults", "invoices", "readings", "upkeep", "vessels", "workorders"}
SAID = "The database was empty"


@dataclass(frozen=True)
class Found:
    """What is in a database: the layout as SQL, the steps applied, and of each table the number and a digest of rows."""

    layout: str
    applied: list[tuple[object, ...]]
    rows: dict[str, list[str]]


def found() -> Found:
    with psycopg.connect(**postgresql.parameters()) as reader:
        digests = postgresql.table_digests(reader)
    del digests["django_migrations"]  # when each was applied; which ones, says the other field
    return Found(layout(), rows(APPLIED), digests)


def _name(what: str) -> str:
    """Of a database that only this worker of this run has."""
    return f"{connection.settings_dict['TEST']['NAME']}_{what}"


@pytest.fixture
def empty(django_db_setup: None, django_db_blocker: Any) -> Iterator[None]:
    with django_db_blocker.unblock(), empty_database(_name("new")):
        yield


def migrate() -> str:
    said = io.StringIO()
    call_command("migrate", stdout=said)
    return said.getvalue()


def test_both_ways_end_in_the_same_database(django_db_setup: None, django_db_blocker: Any) -> None:
    with django_db_blocker.unblock():
        with empty_database(_name("steps")):
            by_steps()
            steps = found()
        with empty_database(_name("new")):
            assert SAID in migrate()
            at_once = found()
    for what in ("TABLE", "INDEX", "UNIQUE INDEX", "FUNCTION", "TRIGGER"):
        assert f"\nCREATE {what} " in steps.layout
    assert at_once.layout == steps.layout
    assert at_once.applied == steps.applied
    assert at_once.rows == steps.rows
    assert int(steps.rows["readings_parameter"][0]) > 20  # what is sown after the migrations


def test_a_first_start_has_the_same_tables_and_what_is_sown_in_them(empty: None) -> None:
    make_tables()
    assert int(rows("SELECT count(*) FROM readings_parameter")[0][0]) > 20
    assert int(rows("SELECT count(*) FROM auth_permission")[0][0]) > 100
    assert set(rows(APPLIED)) == set(MigrationLoader(None).disk_migrations)
    before = layout()
    make_tables()
    assert layout() == before


def test_steps_that_came_later_are_applied_on_top(empty: None, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """As it is after somebody has added a migration and not written the file again."""
    migrate()
    whole, known = layout(), MigrationLoader(None).disk_migrations
    rested_on = {step for one in known.values() for step in one.dependencies}
    app, name = max(step for step in known if step[0] in OWN and step not in rested_on)
    (before,) = [step for of, step in known[app, name].dependencies if of == app]
    call_command(DjangoMigrate(), app, before, interactive=False, verbosity=0)
    file = tmp_path / "earlier.sql"
    file.write_text(written())
    monkeypatch.setattr(new_database, "FILE", file)
    with empty_database(_name("later")):
        said = migrate()
        assert SAID in said
        assert (said.count("Applying "), f"Applying {app}.{name}..." in said) == (1, True)
        assert layout() == whole


def test_a_database_with_tables_is_left_as_it_is(empty: None) -> None:
    with connection.cursor() as cursor:
        cursor.execute("CREATE TABLE somebodys (id int)")
    assert not new_database.lay_out_if_empty()
    assert rows(TABLES) == [("somebodys",)]


def test_a_command_that_only_looks_makes_no_tables_at_once(empty: None) -> None:
    said = io.StringIO()
    call_command("migrate", plan=True, stdout=said)
    assert SAID not in said.getvalue()
    with pytest.raises(SystemExit):  # there are steps to apply
        call_command("migrate", check_unapplied=True, stdout=said)
    assert rows(TABLES) == []


def test_a_text_of_steps_that_the_program_has_no_more_is_not_used(
    empty: None, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    file = tmp_path / "of_another_library.sql"
    file.write_text(f"{new_database.STEP}account.0099_renamed\nCREATE TABLE public.wrong (id int);\n")
    monkeypatch.setattr(new_database, "FILE", file)
    assert not new_database.lay_out_if_empty()
    assert rows(TABLES) == []


def test_a_text_that_is_refused_leaves_nothing_behind(
    empty: None, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    file = tmp_path / "cut_short.sql"
    text = new_database.FILE.read_text()
    file.write_text(text[: text.index("\nCREATE TABLE ") + 3000] + ";\n")
    monkeypatch.setattr(new_database, "FILE", file)
    with pytest.raises(ProgrammingError):
        new_database.lay_out_if_empty()
    assert rows(TABLES) == []


def test_the_text_begins_with_every_step_it_stands_for() -> None:
    text = new_database.FILE.read_text()
    steps = new_database.steps_of(text)
    assert len(steps) == len(set(steps)) == text.count(f"\n{new_database.STEP}") + 1 > 90
    assert set(steps) <= set(MigrationLoader(None).disk_migrations)
