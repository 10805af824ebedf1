"""A backup is made while people write, and comes back the same to the last row and file, or not at all."""

from __future__ import annotations

import hashlib
import io
import json
import threading
from collections.abc import Iterator
from pathlib import Path

import psycopg
import pytest
from django.core.management import CommandError, call_command
from django.db import connection
from psycopg import sql
from pytest_django import Settings

from commands.refusals import Refused
from files import store
from shopfloor.backup import postgresql, sealing
from shopfloor.backup.checking import check
from shopfloor.backup.making import backups_in, make_backup, rotate
from shopfloor.backup.restoring import restore_backup
from shopfloor.backup.sealing import SealError
from tests.cast import make_cast
from vessels import actions

pytestmark = pytest.mark.django_db(transaction=True)
PASSPHRASE = "correct horse battery"


@pytest.fixture(autouse=True)
def shop(settings: Settings, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A shop with a file, a certificate and a secret key."""
    monkeypatch.setattr(sealing, "COST", 4)
    settings.VAR = tmp_path / "shop"
    settings.MEDIA_ROOT = str(settings.VAR / "media")
    settings.SIGNING_P12, settings.SECRET_KEY = "", "the key of the shop, which signs whatever it signs"
    settings.BACKUP_PASSPHRASE_FILE = str(tmp_path / "phrase")
    (tmp_path / "phrase").write_text(PASSPHRASE + "\n")
    (settings.VAR / "signing").mkdir(parents=True)
    (settings.VAR / "signing" / "shop.p12").write_bytes(b"certificate and key")
    store.keep_bytes(b"a file " * 1000)
    return tmp_path


@pytest.fixture
def elsewhere(shop: Path, settings: Settings, monkeypatch: pytest.MonkeyPatch) -> Iterator[dict[str, object]]:
    """An empty database and an empty folder: from here on the program's place is there."""
    name = f"{connection.settings_dict['NAME']}_restored"
    here = postgresql.parameters()
    with psycopg.connect(**(here | {"dbname": "postgres"}), autocommit=True) as server:
        server.execute(sql.SQL("DROP DATABASE IF EXISTS {}").format(sql.Identifier(name)))
        server.execute(sql.SQL("CREATE DATABASE {}").format(sql.Identifier(name)))
        place = here | {"dbname": name}

        def move() -> None:
            monkeypatch.setattr(postgresql, "parameters", lambda: place)
            settings.VAR = shop / "elsewhere"
            settings.MEDIA_ROOT = str(settings.VAR / "media")

        yield {"move": move, **place}
        server.execute(sql.SQL("DROP DATABASE {}").format(sql.Identifier(name)))


def digests(place: dict[str, object]) -> dict[str, str]:
    """By other means than the program's own: every row as text, sorted, through SHA-256."""
    found = {}
    where = {name: value for name, value in place.items() if name != "move"}
    with psycopg.connect(**where) as reader:  # type: ignore[arg-type]
        names = reader.execute("SELECT tablename FROM pg_tables WHERE schemaname = 'public'").fetchall()
        for (name,) in names:
            if name in postgresql.WITHOUT_ROWS:
                continue
            rows = reader.execute(sql.SQL("SELECT t::text FROM {} AS t").format(sql.Identifier(name))).fetchall()
            found[name] = hashlib.sha256("\n".join(sorted(row[0] for row in rows)).encode()).hexdigest()
    return found


def schema(place: dict[str, object]) -> set[tuple[str, ...]]:
    """Triggers, constraints, indexes and functions by name and text."""
    where = {name: value for name, value in place.items() if name != "move"}
    questions = [
        "SELECT 'trigger', tgname, pg_get_triggerdef(oid) FROM pg_trigger WHERE NOT tgisinternal",
        # Their text is spelled another way once it was read again: IN (…) becomes = ANY (ARRAY[…]).
        "SELECT 'constraint', conname, contype::text || conrelid::regclass::text FROM pg_constraint "
        "WHERE connamespace = 'public'::regnamespace",
        "SELECT 'index', indexname, indexdef FROM pg_indexes WHERE schemaname = 'public'",
        "SELECT 'function', proname, prosrc FROM pg_proc WHERE pronamespace = 'public'::regnamespace",
    ]
    with psycopg.connect(**where) as reader:  # type: ignore[arg-type]
        found = {row for question in questions for row in reader.execute(question).fetchall()}
    # So does an index's condition: ARRAY[…]::text[] becomes ARRAY[(…)::text].
    spelled = str.maketrans("", "", "()[]")
    return {
        (kind, name, text.replace("::text", "").translate(spelled) if kind == "index" else text)
        for kind, name, text in found
    }


def test_everything_comes_back_to_the_last_row_and_file(
    shop: Path, elsewhere: dict[str, object], settings: Settings
) -> None:
    cast = make_cast()
    for word in ["dry", "wet, “ünd” mehr \\ ' \t tabs"]:
        actions.write_note(by=cast.tech, vessel=cast.vessel, text=word)
    made = make_backup(shop / "backups", PASSPHRASE)
    here = postgresql.parameters()
    before, shape = digests(here), schema(here)
    elsewhere["move"]()  # type: ignore[operator]
    restore_backup(made.path, PASSPHRASE)
    assert digests(elsewhere) == before
    assert schema(elsewhere) == shape
    assert sum(kind == "trigger" for kind, *_ in shape) > 10
    assert store.read(hashlib.sha256(b"a file " * 1000).hexdigest()) == b"a file " * 1000
    assert (settings.VAR / "secret_key").read_text() == settings.SECRET_KEY
    assert (settings.VAR / "signing" / "shop.p12").read_bytes() == b"certificate and key"
    assert (settings.VAR / "secret_key").stat().st_mode & 0o777 == 0o600
    with psycopg.connect(**{k: v for k, v in elsewhere.items() if k != "move"}) as there:  # type: ignore[arg-type]
        assert there.execute("SELECT nextval('vessels_vessel_id_seq') > max(id) FROM vessels_vessel").fetchone() == (
            True,
        )
        with pytest.raises(psycopg.errors.RestrictViolation, match="append-only"):
            there.execute("DELETE FROM vessels_logentry")


def test_a_backup_taken_while_people_write_is_of_one_moment(shop: Path, elsewhere: dict[str, object]) -> None:
    cast = make_cast()
    stop, written = threading.Event(), []

    def write() -> None:
        while not stop.is_set():
            data = f"log {len(written)}".encode() * 100
            store.keep_bytes(data)
            written.append(
                actions.write_note(by=cast.tech, vessel=cast.vessel, text=hashlib.sha256(data).hexdigest()).pk
            )
        connection.close()

    writer = threading.Thread(target=write)
    writer.start()
    try:
        while len(written) < 5:
            stop.wait(0.01)
        made = make_backup(shop / "backups", PASSPHRASE)
    finally:
        stop.set()
        writer.join()
    elsewhere["move"]()  # type: ignore[operator]
    restore_backup(made.path, PASSPHRASE)  # proves every table against the moment of the backup
    with psycopg.connect(**{k: v for k, v in elsewhere.items() if k != "move"}) as there:  # type: ignore[arg-type]
        rows = there.execute("SELECT text, position, digest FROM vessels_logentry ORDER BY position").fetchall()
        head = there.execute("SELECT log_position, log_digest FROM vessels_vessel").fetchone()
    assert 5 <= len(rows) <= len(written)
    assert head == rows[-1][1:]
    for digest, *_ in rows:
        assert store.is_whole(digest), "a row that is in the backup has its file in the backup"


@pytest.mark.parametrize("harm", ["cut", "changed", "other passphrase", "stranger"])
def test_a_wrong_or_damaged_backup_touches_nothing(
    shop: Path, elsewhere: dict[str, object], settings: Settings, harm: str
) -> None:
    make_cast()
    path = make_backup(shop / "backups", PASSPHRASE).path
    data = path.read_bytes()
    phrase = PASSPHRASE
    match harm:
        case "cut":
            path.write_bytes(data[:-20])
        case "changed":
            path.write_bytes(data[: len(data) // 2] + b"?" + data[len(data) // 2 + 1 :])
        case "other passphrase":
            phrase = "another passphrase"
        case "stranger":
            path.write_bytes(b"%PDF-1.7")
    elsewhere["move"]()  # type: ignore[operator]
    with pytest.raises(SealError):
        restore_backup(path, phrase)
    assert digests(elsewhere) == {}
    assert not settings.VAR.exists()


def test_a_place_that_is_not_empty_is_left_alone_unless_told(
    shop: Path, elsewhere: dict[str, object], settings: Settings
) -> None:
    cast = make_cast()
    made = make_backup(shop / "backups", PASSPHRASE)
    elsewhere["move"]()  # type: ignore[operator]
    restore_backup(made.path, PASSPHRASE)
    before = digests(elsewhere)
    where = {k: v for k, v in elsewhere.items() if k != "move"}
    with psycopg.connect(**where) as there:  # type: ignore[arg-type]
        there.execute("UPDATE vessels_vessel SET name = 'Another'")
    (settings.VAR / "signing" / "shop.p12").write_bytes(b"a newer certificate")
    with pytest.raises(Refused, match=r"not empty: the database has \d+ tables; .* has files; .* has a certificate"):
        restore_backup(made.path, PASSPHRASE)
    with psycopg.connect(**where) as busy:  # type: ignore[arg-type]
        busy.execute("SELECT 1")
        with pytest.raises(Refused, match="Stop it first"):
            restore_backup(made.path, PASSPHRASE, overwrite=True)
    assert digests(elsewhere) != before
    restore_backup(made.path, PASSPHRASE, overwrite=True)
    assert digests(elsewhere) == before
    assert (settings.VAR / "signing" / "shop.p12").read_bytes() == b"certificate and key"
    assert (settings.VAR / "signing" / "shop.p12.before-restore").read_bytes() == b"a newer certificate"
    assert cast.vessel.name


def test_a_backup_of_a_newer_version_is_refused(shop: Path, elsewhere: dict[str, object]) -> None:
    make_cast()
    with connection.cursor() as cursor:
        cursor.execute("INSERT INTO django_migrations (app, name, applied) VALUES ('vessels', '0999_later', now())")
    try:
        made = make_backup(shop / "backups", PASSPHRASE)
    finally:
        with connection.cursor() as cursor:
            cursor.execute("DELETE FROM django_migrations WHERE name = '0999_later'")
    elsewhere["move"]()  # type: ignore[operator]
    with pytest.raises(Refused, match=r"another version of the program: version .* does not know vessels\.0999_later"):
        restore_backup(made.path, PASSPHRASE)
    assert digests(elsewhere) == {}


def test_a_damaged_file_is_named_and_keeps_no_backup_from_being_made(shop: Path) -> None:
    digest = store.keep_bytes(b"another").digest
    store.path_of(digest).write_bytes(b"anothex")
    said = io.StringIO()
    call_command("backup", str(shop / "backups"), stdout=said)
    assert f"Left out, because it is not what was stored: {digest}" in said.getvalue()
    (path,) = backups_in(shop / "backups")
    assert check(path, PASSPHRASE).damaged == [digest]
    assert path.stat().st_mode & 0o777 == 0o600
    beside = json.loads(path.with_suffix(".json").read_text())
    assert beside["sha256"] == hashlib.sha256(path.read_bytes()).hexdigest()
    assert f"Log head {beside['number']}: {beside['head']}" in said.getvalue()
    call_command("backup", str(path), check=True, stdout=said)
    assert "is complete: made at" in said.getvalue()


def test_no_file_is_thrown_away_while_a_backup_is_made(shop: Path) -> None:
    digest = store.keep_bytes(b"another").digest
    with psycopg.connect(**postgresql.parameters()) as other:
        other.execute("SELECT pg_advisory_lock_shared(hashtext('garboard backup'))")
        assert store.discard(digest) is False
    assert store.discard(digest) is True


def test_only_the_newest_are_kept_and_nothing_else_is_touched(shop: Path) -> None:
    folder = shop / "backups"
    folder.mkdir()
    names = [f"garboard-202601{day:02d}T000000Z.backup" for day in range(1, 6)]
    for name in names:
        (folder / name).touch()
        (folder / name).with_suffix(".json").touch()
    (folder / "garboard-mine.backup").touch()
    assert [path.name for path in rotate(folder, 2)] == names[:3]
    assert sorted(path.name for path in folder.iterdir()) == sorted(
        [*names[3:], *(name.replace(".backup", ".json") for name in names[3:]), "garboard-mine.backup"]
    )


def test_a_full_disk_or_a_missing_passphrase_is_a_sentence(
    shop: Path, settings: Settings, monkeypatch: pytest.MonkeyPatch
) -> None:
    from shopfloor.backup import making

    def full(*args: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(making.durable, "sync_file", full)
    with pytest.raises(CommandError, match=r"could not be written .*No space left"):
        call_command("backup", str(shop / "backups"))
    assert list((shop / "backups").iterdir()) == []
    settings.BACKUP_PASSPHRASE_FILE = ""
    with pytest.raises(CommandError, match="Name a file with the passphrase"):
        call_command("backup", str(shop / "backups"))
