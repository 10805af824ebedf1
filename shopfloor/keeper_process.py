"""The process that looks after an embedded cluster (``shopfloor.keeper``), as the program that uses it sees it."""

from __future__ import annotations

import subprocess
import sys
from contextlib import suppress
from pathlib import Path

import psutil

from shopfloor.environment import ROOT


class KeeperProcess:
    """The keeper of the cluster in ``folder``, found by the process number that stands there."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def find(self) -> psutil.Process | None:
        """The process, if there is one; its command line says that it is this cluster's."""
        try:
            process = psutil.Process(int((self.folder / "keeper.pid").read_text()))
            is_ours = process.cmdline()[-2:] == ["shopfloor.keeper", str(self.folder)]
            return process if is_ours and process.status() != psutil.STATUS_ZOMBIE else None
        except (OSError, ValueError, psutil.Error):
            return None

    def start(self) -> None:
        """Start one unless there is one. It outlives this process."""
        if self.find() is not None:
            return
        with (self.folder / "keeper.log").open("ab") as said:
            process = subprocess.Popen(  # noqa: S603  fixed program
                [sys.executable, "-m", "shopfloor.keeper", str(self.folder)],
                cwd=ROOT,
                stdin=subprocess.DEVNULL,
                stdout=subprocess.DEVNULL,
                stderr=said,
                start_new_session=True,
            )
        (self.folder / "keeper.pid").write_text(str(process.pid))
        process.returncode = 0  # it outlives this object on purpose, and is waited for by whoever ends it

    def end(self) -> None:
        """End it, if there is one."""
        keeper = self.find()
        if keeper is None:
            return
        with suppress(psutil.NoSuchProcess):
            keeper.terminate()
            try:
                keeper.wait(5)
            except psutil.TimeoutExpired:
                keeper.kill()
                keeper.wait(5)
