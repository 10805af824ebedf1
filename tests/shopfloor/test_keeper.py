"""The keeper of the embedded PostgreSQL: a dead one is started again, one without users is stopped."""

from __future__ import annotations

import fcntl
import os
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from itertools import pairwise
from pathlib import Path
from typing import Any

import psutil
import psycopg
import pytest

from shopfloor import keeper
from shopfloor.database import ROOT
from shopfloor.keeper import Keeper
from shopfloor.postgres import DatabaseUnavailableError, EmbeddedPostgres


@pytest.fixture
def folder() -> Iterator[Path]:
    with tempfile.TemporaryDirectory(prefix="garboard-") as made:
        Path(made).chmod(0o755)
        yield Path(made) / "postgresql"


def wait_until(true: Callable[[], Any], patience: float = 100.0) -> None:
    deadline = time.monotonic() + patience
    while not true():
        assert time.monotonic() < deadline
        time.sleep(0.1)


def answers(url: str) -> bool:
    try:
        psycopg.connect(url, connect_timeout=10).close()
    except psycopg.OperationalError:
        return False
    return True


def test_a_killed_database_is_started_again_and_a_killed_program_leaves_none_running(folder: Path) -> None:
    code = (
        "import time\nfrom pathlib import Path\nfrom shopfloor.postgres import EmbeddedPostgres\n"
        f"server = EmbeddedPostgres(Path({str(folder)!r}), durable=False, kept=True)\n"
        "print(server.acquire(), flush=True)\ntime.sleep(600)"
    )
    program = subprocess.Popen([sys.executable, "-c", code], cwd=ROOT, stdout=subprocess.PIPE, text=True)
    assert program.stdout is not None
    url = program.stdout.readline().strip()
    server = EmbeddedPostgres(folder)
    first, looks_after = server.running_pid(), server.keeper.find()
    assert first is not None
    assert looks_after is not None

    for process in [psutil.Process(first), *psutil.Process(first).children()]:
        process.send_signal(signal.SIGKILL)
    wait_until(lambda: answers(url))
    second = server.running_pid()
    assert second not in {None, first}

    program.kill()
    program.wait()
    program.stdout.close()
    wait_until(lambda: server.running_pid() is None)
    wait_until(lambda: not looks_after.is_running() or looks_after.status() == psutil.STATUS_ZOMBIE)
    log = (folder / "keeper.log").read_text()
    assert "The database is running again." in log


def test_the_last_user_ends_the_keeper_with_the_server(folder: Path) -> None:
    server = EmbeddedPostgres(folder, durable=False, kept=True)
    server.acquire()
    looks_after = server.keeper.find()
    assert looks_after is not None
    server.release()
    assert server.keeper.find() is None
    assert not looks_after.is_running()
    assert server.running_pid() is None


class Cluster:
    """A cluster that does not start as long as the disk is full."""

    def __init__(self, folder: Path) -> None:
        folder.mkdir()
        self.real = EmbeddedPostgres(folder, durable=False)
        self.folder = folder
        self.is_full, self.runs, self.tries = True, False, 0
        self.users = (folder / "users.lock").open("ab")

    def turn(self, *, wait: bool = True) -> Any:
        return self.real.turn(wait=wait)

    def running_pid(self) -> int | None:
        return os.getpid() if self.runs else None

    def start(self) -> None:
        self.tries += 1
        if self.is_full:
            raise DatabaseUnavailableError("No space left on device.")
        self.runs = True

    def stop(self) -> None:
        self.runs = False


def test_a_full_disk_is_tried_again_at_longer_and_longer_intervals_until_there_is_room(
    folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    now = [1000.0]
    monkeypatch.setattr(keeper.time, "monotonic", lambda: now[0])
    cluster = Cluster(folder)
    fcntl.flock(cluster.users, fcntl.LOCK_SH)
    looks_after = Keeper(cluster)  # type: ignore[arg-type]
    tried_at = []
    for _ in range(200):
        before = cluster.tries
        assert looks_after.look() is True
        if cluster.tries > before:
            tried_at.append(now[0])
        now[0] += 1
    gaps = [later - sooner for sooner, later in pairwise(tried_at)]
    assert gaps[:5] == [1, 2, 4, 8, 16]
    assert set(gaps[5:]) == {30}
    cluster.is_full = False
    for _ in range(31):
        looks_after.look()
        now[0] += 1
    assert cluster.runs
    assert "No space left on device. The next try is in" in capsys.readouterr().err
    cluster.users.close()
    assert looks_after.look() is False  # nobody uses it any more
    assert not cluster.runs
