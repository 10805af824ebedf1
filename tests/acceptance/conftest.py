"""Folders for real processes, and the promise that none is left."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

import pytest

from tests.acceptance.demo_once import SEEN_OF_DEMO, FirstDemo
from tests.acceptance.folders import fill_from, folder_without_leftovers, made_once, make_folder, remove
from tests.acceptance.running import SERVE, Running, environment, free_port, get, processes_of

Start = Callable[..., Running]
SEEN = "first_start.json"


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Everything in this folder is of this tier, and may take its time."""
    here = Path(__file__).parent
    for item in items:
        if here in item.path.parents:
            item.add_marker(pytest.mark.acceptance)
            item.add_marker(pytest.mark.timeout(900))


@dataclass(frozen=True)
class FirstStart:
    """What was seen of the first start of a server in an empty folder."""

    seconds: float
    health: dict[str, Any]
    ended_with: int
    left_running: list[str]


@pytest.fixture(scope="session")
def filled_once(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """A var folder with a migrated database and laid-out static files, as the first start of a server leaves it."""
    with made_once(tmp_path_factory, "first_start", _served_for_the_first_time) as folder:
        yield folder


def _served_for_the_first_time() -> Path:
    folder, port = make_folder(), free_port()
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
        remove(folder)
        raise
    return folder


@pytest.fixture
def first_start(filled_once: Path) -> FirstStart:
    """What was seen when that folder was made."""
    return FirstStart(**json.loads((filled_once / SEEN).read_text()))


@pytest.fixture
def first_demo(demo_once: Path) -> FirstDemo:
    """What was seen when the demo was filled."""
    return FirstDemo(**json.loads((demo_once / SEEN_OF_DEMO).read_text()))


@pytest.fixture
def var() -> Iterator[Path]:
    """A var folder of its own, empty."""
    with folder_without_leftovers() as folder:
        yield folder


@pytest.fixture
def used_var(var: Path, filled_once: Path) -> Path:
    """A var folder of its own that has been served from before."""
    fill_from(filled_once, var)
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
