"""Folders for real processes, and the promise that none is left."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from tests.acceptance.running import Running, kill_everything, processes_of

Start = Callable[..., Running]


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Everything in this folder is of this tier, and may take its time."""
    here = Path(__file__).parent
    for item in items:
        if here in item.path.parents:
            item.add_marker(pytest.mark.acceptance)
            item.add_marker(pytest.mark.timeout(400))


@pytest.fixture
def var() -> Iterator[Path]:
    """A var folder of its own, under a path short enough for a socket; no process of it may be left."""
    folder = Path(tempfile.mkdtemp(prefix="garboard-"))
    folder.chmod(0o755)
    yield folder
    left = processes_of(folder)
    kill_everything(folder)
    shutil.rmtree(folder, ignore_errors=True)
    assert not left, f"Left running: {[process.cmdline() for process in left]}"


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
