"""Var folders for real processes, the promise that none of these is left, and one folder for several workers."""

from __future__ import annotations

import fcntl
import os
import shutil
import subprocess
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import psutil
import pytest

from tests.acceptance.running import kill_everything, processes_of


@contextmanager
def folder_without_leftovers() -> Iterator[Path]:
    """A var folder under a path short enough for a socket; no process of it may be left at the end."""
    folder = make_folder()
    try:
        yield folder
    finally:  # also after a test that failed
        left = remove(folder)
    assert not left, f"Left running: {left}"


def make_folder() -> Path:
    """An empty one, which somebody has to remove."""
    folder = Path(tempfile.mkdtemp(prefix="garboard-"))
    folder.chmod(0o755)
    return folder


def remove(folder: Path) -> list[psutil.Process]:
    """Take it away with all that runs in it; what ran."""
    left = processes_of(folder)
    kill_everything(folder)
    shutil.rmtree(folder, ignore_errors=True)
    return left


def fill_from(kept: Path, folder: Path) -> None:
    """Copy what a program left behind, with the accounts that its files belong to."""
    subprocess.run(["cp", "--archive", f"{kept}/.", str(folder)], check=True)


@contextmanager
def made_once(temporary: pytest.TempPathFactory, name: str, make: Callable[[], Path]) -> Iterator[Path]:
    """A folder of that name that workers beside each other share, to be looked at and copied.

    The first that needs it has it made while the others wait, each holds it as long as it runs, and the last one takes
    it away.
    """
    own = temporary.getbasetemp()
    mark = (own.parent if "PYTEST_XDIST_WORKER" in os.environ else own) / name
    with mark.with_suffix(".lock").open("ab") as lock, mark.with_suffix(".held").open("ab") as held:
        fcntl.flock(lock, fcntl.LOCK_EX)
        fcntl.flock(held, fcntl.LOCK_SH)
        if not mark.exists():
            mark.write_text(str(make()))
        fcntl.flock(lock, fcntl.LOCK_UN)
        folder = Path(mark.read_text())
        yield folder
        fcntl.flock(lock, fcntl.LOCK_EX)
        try:
            fcntl.flock(held, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            return  # another worker still has it
        mark.unlink()
        remove(folder)
