"""What is done every now and then, on one box as with workers: once, when it is due, and again when it was lost."""

from __future__ import annotations

import errno
import threading
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from celery.schedules import maybe_schedule
from django.db import connection
from pytest_django import Settings

from commands.models import BackgroundTask
from files import store
from shopfloor import checks, tasks
from shopfloor.backup import sealing
from shopfloor.celery import app
from staff.models import ShopProfile
from staff.queries import shop_profile
from tests.cast import make_cast
from vessels import actions


@pytest.fixture(autouse=True)
def place(settings: Settings, tmp_path: Path) -> Path:
    settings.VAR = tmp_path
    settings.MEDIA_ROOT = str(tmp_path / "media")
    return tmp_path


def test_every_entry_of_the_schedule_is_a_task_that_exists(settings: Settings) -> None:
    app.loader.import_default_modules()
    for entry in settings.CELERY_BEAT_SCHEDULE.values():
        assert entry["task"] in app.tasks
        assert maybe_schedule(entry["schedule"]).seconds > 0


@pytest.mark.django_db(transaction=True)
class TestBackups:
    @pytest.fixture(autouse=True)
    def wanted(self, place: Path, settings: Settings, monkeypatch: pytest.MonkeyPatch) -> Path:
        monkeypatch.setattr(sealing, "COST", 4)
        (place / "phrase").write_text("correct horse battery\n")
        settings.BACKUP_TO, settings.BACKUP_PASSPHRASE_FILE = str(place / "backups"), str(place / "phrase")
        settings.BACKUP_KEEP, settings.BACKUP_EVERY_HOURS = 2, 24
        return place / "backups"

    def test_one_is_made_when_due_and_old_ones_go(self, wanted: Path) -> None:
        wanted.mkdir()
        names = []
        for hours in [80, 50, 23]:
            names.append(f"garboard-{datetime.now(UTC) - timedelta(hours=hours):%Y%m%dT%H%M%SZ}.backup")
            (wanted / names[-1]).touch()
        assert tasks.back_up_if_due() is False
        (wanted / names[2]).unlink()
        assert tasks.back_up_if_due() is True
        assert tasks.back_up_if_due() is False
        kept = sorted(path.name for path in wanted.glob("*.backup"))
        assert (len(kept), kept[0]) == (2, names[1])

    def test_two_at_once_make_one(self, wanted: Path) -> None:
        made: list[bool] = []

        def make() -> None:
            made.append(tasks.back_up_if_due())
            connection.close()

        threads = [threading.Thread(target=make) for _ in range(2)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        assert sorted(made) == [False, True]
        assert len(list(wanted.glob("*.backup"))) == 1

    def test_beat_asks_for_one_when_it_is_due(self, wanted: Path) -> None:
        assert (tasks.ask_for_backup_if_due(), tasks.ask_for_backup_if_due()) == (True, False)
        assert len(list(wanted.glob("*.backup"))) == 1
        assert list(BackgroundTask.objects.values_list("kind", "state", "tries")) == [("backup", "done", 1)]

    def test_one_that_cannot_be_made_is_given_up_with_a_sentence(
        self, wanted: Path, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        def full(*_: object) -> None:
            raise OSError(errno.ENOSPC, "No space left on device")

        monkeypatch.setattr(tasks, "make_backup", full)
        assert tasks.ask_for_backup_if_due() is True
        task = BackgroundTask.objects.get()
        assert (task.state, task.tries) == ("failed", 3)
        assert task.problem == "The disk that backups go to is full. Make room, or lower BACKUP_KEEP."
        assert tasks.ask_for_backup_if_due() is True, "it is asked for again when beat looks again"


@pytest.mark.django_db
class TestOthers:
    def test_the_head_goes_outside_where_it_is_wanted(self, place: Path, settings: Settings) -> None:
        cast = make_cast()
        actions.write_note(by=cast.tech, vessel=cast.vessel, text="Bilge dry.")
        assert tasks.keep_head_outside() == 0
        settings.ANCHOR_FILE = str(place / "elsewhere" / "heads.jsonl")
        assert (tasks.keep_head_outside(), tasks.keep_head_outside()) == (1, 0)
        assert len((place / "elsewhere" / "heads.jsonl").read_text().splitlines()) == 1

    def test_stored_files_are_read(self) -> None:
        digest = store.keep_bytes(b"a logo").digest
        ShopProfile.objects.filter(pk=shop_profile().pk).update(logo=store.name_of(digest))
        assert tasks.check_stored_files() == 0
        store.path_of(digest).write_bytes(b"b logo")
        assert tasks.check_stored_files() == 1


@pytest.mark.parametrize(("text", "is_refused"), [(None, True), ("short", True), ("long enough to keep out", False)])
def test_backups_without_a_passphrase_are_refused_at_the_start(
    place: Path, settings: Settings, text: str | None, is_refused: bool
) -> None:
    settings.BACKUP_TO, settings.BACKUP_PASSPHRASE_FILE = str(place), str(place / "phrase")
    if text is not None:
        (place / "phrase").write_text(text)
    assert checks.ids(checks.check_backup(None)) == (["shopfloor.E011"] if is_refused else [])
    settings.BACKUP_TO = ""
    assert checks.check_backup(None) == []
