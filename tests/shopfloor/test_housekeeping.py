"""What is done every now and then, on one box as with workers: once, when it is due, and again when it was lost."""

from __future__ import annotations

import subprocess
import sys
import threading
import time
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path

import psutil
import pytest
from celery.schedules import maybe_schedule
from django.db import connection
from kombu.exceptions import OperationalError as BrokerAwayError
from pytest_django import Settings

from files import store
from findings.reports import waiting
from findings.reports.models import DraftState, ReportDraft
from shopfloor import checks, housekeeping, tasks
from shopfloor.backup import sealing
from shopfloor.celery import app
from shopfloor.database import ROOT
from shopfloor.housekeeping import Housekeeper
from staff.models import ShopProfile
from staff.queries import shop_profile
from staff.sending import send
from tests.cast import make_cast
from tests.findings.story import open_job
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


def test_each_thing_is_done_when_it_is_due_and_never_twice_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    now, done, may_end = [100.0], [], threading.Event()

    def do(name: str) -> None:
        done.append(name)
        if name == "slow":
            may_end.wait(20)

    monkeypatch.setattr(housekeeping, "_do", do)
    clock = type("Clock", (), {"monotonic": staticmethod(lambda: now[0])})
    monkeypatch.setattr(housekeeping, "time", clock)
    keeper = Housekeeper({"often": {"task": "often", "schedule": 10}, "slow": {"task": "slow", "schedule": 15}})
    assert keeper.look() == ["often", "slow"]
    keeper.at_work["often"].join()
    now[0] += 9
    assert keeper.look() == []
    now[0] += 20
    assert keeper.look() == ["often"], "the slow one is still at it"
    may_end.set()
    keeper.at_work["slow"].join()
    assert keeper.look() == ["slow"]
    for thread in keeper.at_work.values():
        thread.join()


class TestReports:
    @pytest.fixture
    def draft(self, db: None) -> ReportDraft:
        cast = make_cast()
        return ReportDraft.objects.create(
            job=open_job(cast), started_by=cast.tech, signer=cast.owner, state=DraftState.SIGNING, record="{}",
            sequence=1, signing_since=datetime.now(UTC),
        )  # fmt: skip

    @pytest.mark.parametrize(
        ("signed_s", "heard_s", "problem", "is_sent"),
        [
            (5, None, "", False),
            (31, None, "", True),  # its message was lost
            (600, 10, "", False),  # somebody draws it
            (600, 61, "", True),  # whoever drew it was killed
            (600, None, "The certificate ran out.", False),  # a person has to act
        ],
    )
    def test_one_without_a_sign_of_life_is_sent_again(
        self, draft: ReportDraft, monkeypatch: pytest.MonkeyPatch,
        signed_s: int, heard_s: int | None, problem: str, is_sent: bool,
    ) -> None:  # fmt: skip
        now = datetime.now(UTC)
        draft.signing_since = now - timedelta(seconds=signed_s)
        draft.heard_at = None if heard_s is None else now - timedelta(seconds=heard_s)
        draft.problem = problem
        draft.save()
        sent: list[int] = []
        monkeypatch.setattr(waiting, "send", lambda task, key: sent.append(key))
        tasks.send_waiting_again()
        assert sent == ([draft.pk] if is_sent else [])

    def test_a_killed_worker_is_noticed_within_two_minutes(self, settings: Settings) -> None:
        every = timedelta(seconds=settings.CELERY_BEAT_SCHEDULE["waiting"]["schedule"])
        assert waiting.SILENT_FOR + every < timedelta(minutes=2)
        assert waiting.NOT_TAKEN_FOR + every < timedelta(minutes=2)


class Task:
    name = "a.task"

    def __init__(self) -> None:
        self.done_here = 0

    def delay(self) -> None:
        raise BrokerAwayError("Error 111 connecting to redis")

    def apply(self, arguments: tuple[object, ...]) -> None:
        self.done_here += 1


def test_a_queue_that_is_away_is_no_error_for_whoever_asked() -> None:
    task = Task()
    assert send(task) is False
    assert task.done_here == 0
    assert send(task, do_it_here=True) is False
    assert task.done_here == 1


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


def test_the_process_beside_works_and_ends_with_the_program(place: Path) -> None:
    code = (
        "import time, sys\nfrom shopfloor import housekeeping\n"
        f"def do(name): open({str(place)!r} + '/' + name, 'a').close()\n"
        "housekeeping._do = do\nhousekeeping.START_AGAIN_AFTER = 0.1\n"
        "import types\nschedule = {'x': {'task': 'done', 'schedule': 0.2}}\n"
        "housekeeping.settings = types.SimpleNamespace(CELERY_BEAT_SCHEDULE=schedule)\n"
        "process = housekeeping.HousekeepingProcess()\nprocess.start()\nprint(process.pid, flush=True)\ntime.sleep(60)"
    )
    program = subprocess.Popen([sys.executable, "-c", code], cwd=ROOT, stdout=subprocess.PIPE, text=True)
    assert program.stdout is not None
    watcher = int(program.stdout.readline())
    wait_until((place / "done").exists)
    (worker,) = psutil.Process(watcher).children()
    (place / "done").unlink()
    worker.kill()  # it is started again
    wait_until((place / "done").exists)
    program.kill()
    program.wait()
    program.stdout.close()
    wait_until(lambda: not psutil.pid_exists(watcher) or psutil.Process(watcher).status() == psutil.STATUS_ZOMBIE)
    (place / "done").unlink(missing_ok=True)
    time.sleep(2.5)
    assert not (place / "done").exists()


def wait_until(true: Callable[[], bool], patience: float = 30.0) -> None:
    deadline = time.monotonic() + patience
    while not true():
        assert time.monotonic() < deadline
        time.sleep(0.1)
