"""Folders for real processes, and the promise that none is left."""

from __future__ import annotations

import shutil
import subprocess
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from tests.acceptance.running import PYTHON, Running, environment, free_port, kill_everything, processes_of

Start = Callable[..., Running]


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
    folder = Path(tempfile.mkdtemp(prefix="garboard-"))
    folder.chmod(0o755)
    try:
        yield folder
    finally:  # also after a test that failed
        left = processes_of(folder)
        kill_everything(folder)
        shutil.rmtree(folder, ignore_errors=True)
    assert not left, f"Left running: {left}"


@pytest.fixture(scope="session")
def filled_once() -> Iterator[Path]:
    """A var folder with a migrated database and laid-out static files, as the first start of a server leaves it."""
    with folder_without_leftovers() as folder:
        port = free_port()
        running = Running(
            [PYTHON, "manage.py", "serve"], environment(folder, PORT=str(port), PUBLIC_URL=f"http://127.0.0.1:{port}")
        )
        running.wait_for_line("Ready: ")
        running.interrupt()
        yield folder


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
