"""Folders for real processes, and the promise that none is left."""

from __future__ import annotations

import fcntl
import json
import os
import shutil
import subprocess
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

import psutil
import pytest

from tests.acceptance.running import SERVE, Running, environment, free_port, get, kill_everything, processes_of

Start = Callable[..., Running]
SEEN = "first_start.json"


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Everything in this folder is of this tier, and may take its time."""
    here = Path(__file__).parent
    for item in items:
        if here in item.path.parents:
            item.add_marker(pytest.mark.acceptance)
            item.add_marker(pytest.mark.timeout(900))


@contextmanager
def folder_without_leftovers() -> Iterator[Path]:
    """A var folder under a path short enough for a socket; no process of it may be left at the end."""
    folder = _make_folder()
    try:
        yield folder
    finally:  # also after a test that failed
        left = _remove(folder)
    assert not left, f"Left running: {left}"


def _make_folder() -> Path:
    folder = Path(tempfile.mkdtemp(prefix="garboard-"))
    folder.chmod(0o755)
    return folder


def _remove(folder: Path) -> list[psutil.Process]:
    """Take it away with all that runs in it; what ran."""
    left = processes_of(folder)
    kill_everything(folder)
    shutil.rmtree(folder, ignore_errors=True)
    return left


@dataclass(frozen=True)
class FirstStart:
    """What was seen of the first start of a server in an empty folder."""

    seconds: float
    health: dict[str, Any]
    ended_with: int
    left_running: list[str]


@pytest.fixture(scope="session")
def filled_once(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """A var folder with a migrated database and laid-out static files, as the first start of a server leaves it.

    Workers that run beside each other share it: the first that needs it has it made while the others wait, each holds
    it as long as it runs, and the last one takes it away.
    """
    own = tmp_path_factory.getbasetemp()
    mark = (own.parent if "PYTEST_XDIST_WORKER" in os.environ else own) / "first_start"
    with mark.with_suffix(".lock").open("ab") as lock, mark.with_suffix(".held").open("ab") as held:
        fcntl.flock(lock, fcntl.LOCK_EX)
        fcntl.flock(held, fcntl.LOCK_SH)
        if not mark.exists():
            mark.write_text(str(_served_for_the_first_time()))
        fcntl.flock(lock, fcntl.LOCK_UN)
        folder = Path(mark.read_text())
        yield folder
        fcntl.flock(lock, fcntl.LOCK_EX)
        try:
            fcntl.flock(held, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            return  # another worker still has it
        mark.unlink()
        _remove(folder)


def _served_for_the_first_time() -> Path:
    folder, port = _make_folder(), free_port()
    running = Running(SERVE, environment(folder, PORT=str(port), PUBLIC_URL=f"http://127.0.0.1:{port}"))
    try:
        seconds = running.wait_for_line("Ready: ")
        health = get(f"http://127.0.0.1:{port}/health/")
        ended_with = running.interrupt()
        left = [str(process) for process in processes_of(folder)]
        seen = FirstStart(seconds, health.json | {"status": health.status}, ended_with, left)
        (folder / SEEN).write_text(json.dumps(asdict(seen)))
    except BaseException:
        running.close()
        _remove(folder)
        raise
    return folder


@pytest.fixture
def first_start(filled_once: Path) -> FirstStart:
    """What was seen when that folder was made."""
    return FirstStart(**json.loads((filled_once / SEEN).read_text()))


@pytest.fixture
def var() -> Iterator[Path]:
    """A var folder of its own, empty."""
    with folder_without_leftovers() as folder:
        yield folder


@pytest.fixture
def used_var(var: Path, filled_once: Path) -> Path:
    """A var folder of its own that has been served from before."""
    subprocess.run(["cp", "--archive", f"{filled_once}/.", str(var)], check=True)
    return var


@pytest.fixture
def start() -> Iterator[Start]:
    """Starts commands, and ends them with the test."""
    started: list[Running] = []

    def start_one(command: list[str], env: dict[str, str]) -> Running:
        running = Running(command, env)
        started.append(running)
        return running

    yield start_one
    for running in started:
        running.close()
        print(f"--- {' '.join(map(str, running.process.args))} said:\n{running.output}")
