"""``/health/`` and ``manage.py health``: what is well, and a sentence for what is not."""

from __future__ import annotations

import io
import os
import re
import time
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command
from django.db import InterfaceError, OperationalError, connection
from django.test import Client
from django.utils import timezone
from pytest_django import Settings

from commands.models import BackgroundTask
from files import store
from files.paper import signing
from shopfloor import health
from shopfloor.health import note_heartbeat
from staff.models import ShopProfile
from staff.queries import shop_profile
from tests.cast import make_cast

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def fresh(settings: Settings, tmp_path: Path) -> None:
    settings.MEDIA_ROOT = str(tmp_path / "media")
    settings.VAR = tmp_path
    settings.SIGNING_P12 = settings.SIGNING_P12_PASSWORD = ""
    note_heartbeat()


TOO_STRONG = (  # tests make and drop databases
    "The program's database role could switch off what protects the log. Give the tables to another role and name that "
    "one in MIGRATION_DATABASE_URL."
)
NO_CERTIFICATE = "There is no certificate yet, so no report can be signed. Run manage.py make_certificate once."


def test_well_without_a_login(client: Client) -> None:
    answer = client.get("/health/")
    assert answer.status_code == 200
    assert answer.json() == {
        "well": True,
        "database": "The database answers.",
        "migrations": "Every migration is applied.",
        "files": "Every stored file is there.",
        "role": TOO_STRONG,
        "disk": "The disk has room.",
        "certificate": NO_CERTIFICATE,
        "worker": "The worker was last heard from 0 s ago.",
        "queue": "Nothing waits for the worker.",
    }
    assert "no-store" in answer["Cache-Control"]


def test_only_looking_is_allowed(client: Client) -> None:
    assert client.head("/health/").status_code == 200
    assert client.post("/health/").status_code == 405


def test_a_database_that_is_away(client: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    def away(*args: Any, **kwargs: Any) -> None:
        raise OperationalError("password for shop at 192.0.2.7")

    monkeypatch.setattr(connection, "cursor", away)
    answer = client.get("/health/")
    assert answer.status_code == 503
    assert answer.json()["well"] is False
    assert answer.json()["database"] == "The database does not answer. Is PostgreSQL running?"
    assert "192.0.2.7" not in answer.content.decode()


def test_a_database_that_is_away_is_no_error_for_somebody_signed_in(
    client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    client.force_login(make_cast().owner)

    def away(*args: Any, **kwargs: Any) -> None:
        raise InterfaceError("connection already closed")

    monkeypatch.setattr(connection, "cursor", away)
    assert client.get("/health/").status_code == 503


def test_a_look_that_breaks_is_a_finding(client: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*args: Any) -> None:
        raise ValueError("whatever")

    monkeypatch.setattr(health, "damages_at_a_glance", broken)
    answer = client.get("/health/")
    assert answer.status_code == 503
    assert answer.json()["files"] == "Looking at the files went wrong; the server's log says how."


def test_a_lost_file_is_said_without_its_name(client: Client, settings: Settings) -> None:
    digest = store.keep_bytes(b"logo").digest
    ShopProfile.objects.filter(pk=shop_profile().pk).update(logo=store.name_of(digest))
    assert client.get("/health/").status_code == 200
    health._files_found.clear()
    store.path_of(digest).unlink()
    answer = client.get("/health/")
    assert answer.status_code == 503
    assert answer.json()["files"].startswith("1 stored file(s) are missing and 0 are not what was stored.")
    store.keep_bytes(b"logo")
    assert client.get("/health/").status_code == 200


def test_a_disk_that_is_nearly_full(client: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    usage = type("Usage", (), {"free": 312_000_000})
    monkeypatch.setattr(health.shutil, "disk_usage", lambda place: usage)
    answer = client.get("/health/")
    assert answer.status_code == 503
    assert answer.json()["disk"].startswith("Only 312 MB are free on the disk.")


@pytest.mark.parametrize(
    ("days", "status", "says"), [(400, 200, "is good until"), (20, 503, "runs out on"), (-1, 503, "ran out on")]
)
def test_the_certificate_is_looked_at(
    client: Client, monkeypatch: pytest.MonkeyPatch, days: int, status: int, says: str
) -> None:
    monkeypatch.setattr(signing, "KEY_BITS", 2048)
    signing.make_certificate("Marlin Creek Marine")
    later = timezone.now() + timedelta(days=365 * signing.YEARS - days)
    monkeypatch.setattr(timezone, "now", lambda: later)
    answer = client.get("/health/")
    assert (answer.status_code, says in answer.json()["certificate"]) == (status, True)


def test_a_certificate_that_does_not_open(client: Client, settings: Settings, tmp_path: Path) -> None:
    settings.SIGNING_P12 = str(tmp_path / "shop.p12")
    assert "does not open" in client.get("/health/").json()["certificate"]
    (tmp_path / "shop.p12").write_bytes(b"no certificate")
    assert client.get("/health/").status_code == 503


def test_a_migration_that_is_not_applied(client: Client) -> None:
    with connection.cursor() as cursor:
        cursor.execute("DELETE FROM django_migrations WHERE app = 'sessions'")
    answer = client.get("/health/")
    assert answer.status_code == 503
    assert answer.json()["migrations"].startswith("1 migration(s) are not applied. Run manage.py migrate")
    with pytest.raises(CommandError, match="Not everything is well"):
        call_command("health", stdout=io.StringIO())


class TestWorker:
    @pytest.fixture(autouse=True)
    def queue(self, settings: Settings, monkeypatch: pytest.MonkeyPatch) -> None:
        settings.REDIS_URL = "redis://127.0.0.1:1/0"
        monkeypatch.setattr(health, "redis_answers", lambda: True)

    def test_never_heard_of(self, client: Client) -> None:
        health.heartbeat_file().unlink()
        answer = client.get("/health/")
        assert answer.status_code == 503
        assert answer.json()["worker"].startswith("No worker has been heard from yet.")

    def test_heard_of_just_now(self, client: Client) -> None:
        note_heartbeat()
        answer = client.get("/health/")
        assert answer.status_code == 200
        assert re.fullmatch(r"The worker was last heard from \d{1,2} s ago\.", answer.json()["worker"])

    def test_not_heard_of_for_long(self, client: Client) -> None:
        note_heartbeat()
        os.utime(health.heartbeat_file(), (time.time() - 400, time.time() - 400))
        answer = client.get("/health/")
        assert answer.status_code == 503
        assert answer.json()["worker"].startswith("The worker was last heard from 0:06:40 ago.")

    def test_redis_away(self, client: Client, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.undo()
        note_heartbeat()
        began = time.monotonic()
        answer = client.get("/health/")
        assert answer.status_code == 503
        assert answer.json()["worker"].startswith("Redis does not answer")
        assert time.monotonic() - began < 30  # at once, but for what else the machine does


def test_one_box_whose_worker_has_stopped_says_so(client: Client, settings: Settings) -> None:
    settings.REDIS_URL = ""
    health.heartbeat_file().unlink(missing_ok=True)
    answer = client.get("/health/")
    assert (answer.status_code, answer.json()["worker"]) == (
        503,
        "No worker has been heard from yet. Is manage.py serve running?",
    )
    note_heartbeat()
    assert client.get("/health/").status_code == 200
    os.utime(health.heartbeat_file(), (0, 0))
    answer = client.get("/health/")
    assert (answer.status_code, "Is manage.py serve running?" in answer.json()["worker"]) == (503, True)


def test_a_worker_that_is_just_started_is_given_a_minute(client: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    health.heartbeat_file().unlink(missing_ok=True)
    monkeypatch.setattr(health, "_worker_started", [time.time() - 5])
    assert client.get("/health/").json()["worker"] == "The worker is starting."
    monkeypatch.setattr(health, "_worker_started", [time.time() - 61])
    assert client.get("/health/").status_code == 503


@pytest.mark.parametrize(
    ("row", "age_s", "status", "says"),
    [
        (None, 0, 200, "Nothing waits for the worker."),
        ({"state": "asked"}, 5, 200, "1 task waits for the worker or is being done, the oldest since"),
        ({"state": "asked"}, 90, 200, "the oldest since"),  # late, and not yet for long
        ({"state": "asked"}, 125, 503, "the oldest since"),
        ({"state": "taken", "heard_at": 2}, 4000, 200, "is being done"),  # a large backup
        (
            {"state": "taken", "heard_at": 100},
            4000,
            503,
            "is being done",
        ),  # its worker is dead, and nobody takes it up
        ({"state": "done"}, 4000, 200, "Nothing waits for the worker."),
        ({"state": "failed", "ended_at": 10}, 4000, 200, "Given up within a day: backup at 20"),
        ({"state": "failed", "ended_at": 90_000}, 99_000, 200, "Nothing waits for the worker."),
    ],
)
def test_what_waits_for_the_worker_is_said(
    client: Client, row: dict[str, Any] | None, age_s: int, status: int, says: str
) -> None:
    note_heartbeat()
    now = datetime.now(UTC)
    if row is not None:
        at = {name: now - timedelta(seconds=row[name]) for name in row if name != "state"}
        BackgroundTask.objects.create(kind="backup", state=row["state"], asked_at=now - timedelta(seconds=age_s), **at)
    answer = client.get("/health/")
    assert answer.status_code == status
    assert says in answer.json()["queue"]
    assert ("Given up" in answer.json()["queue"]) is ("Given up" in says)


@pytest.mark.parametrize(
    ("hours", "status", "says"),
    [
        (None, 503, "no backup in the folder"),
        (1, 200, "is 1 h old"),
        (47, 200, "is 47"),
        (49, 503, "is 49 h old"),
    ],
)
def test_the_age_of_the_last_backup(
    client: Client, settings: Settings, tmp_path: Path, hours: int | None, status: int, says: str
) -> None:
    settings.BACKUP_TO = str(tmp_path)
    if hours is not None:
        (tmp_path / f"garboard-{timezone.now() - timedelta(hours=hours):%Y%m%dT%H%M%SZ}.backup").touch()
    answer = client.get("/health/")
    assert (answer.status_code, says in answer.json()["backup"]) == (status, True)


def test_the_command_says_each_finding() -> None:
    said = io.StringIO()
    call_command("health", stdout=said)
    assert said.getvalue().splitlines() == [
        "database: The database answers.",
        "migrations: Every migration is applied.",
        "files: Every stored file is there.",
        f"role: {TOO_STRONG}",
        "disk: The disk has room.",
        f"certificate: {NO_CERTIFICATE}",
        "worker: The worker was last heard from 0 s ago.",
        "queue: Nothing waits for the worker.",
    ]
