"""Real processes of the program: started as a person starts them, watched, stopped and killed."""

from __future__ import annotations

import json
import os
import queue
import signal
import socket
import subprocess
import threading
import time
import urllib.error
import urllib.request
from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import psutil

from shopfloor.database import ROOT
from tests.conftest import settings_of_the_environment

PYTHON = str(ROOT / ".venv" / "bin" / "python")
SERVE = ["make", "--no-print-directory", "serve"]
PATIENCE = 240.0


def free_port() -> int:
    """A port that nobody listens on."""
    with socket.socket() as trial:
        trial.bind(("127.0.0.1", 0))
        return int(trial.getsockname()[1])


def environment(var: Path, **settings: str) -> dict[str, str]:
    """A newcomer's environment, with these settings and no other."""
    plain = {name: value for name, value in os.environ.items() if name not in settings_of_the_environment()}
    for name in [
        "DATABASE_URL",
        "GARBOARD_TEST_DB",
        "DJANGO_SETTINGS_MODULE",
        "PYTEST_CURRENT_TEST",
        "PYTHONDONTWRITEBYTECODE",  # each of its processes would compile the whole program anew
        "MAKEFLAGS",
        "MAKELEVEL",
    ]:
        plain.pop(name, None)
    path = f"{ROOT / '.venv' / 'bin'}{os.pathsep}{plain.get('PATH', '')}"
    return plain | {"PATH": path, "GARBOARD_VAR": str(var), "GARBOARD_SETTINGS": os.devnull} | settings


class Running:
    """A command in a process group of its own, like a job of a shell."""

    def __init__(self, command: Sequence[str], env: dict[str, str]) -> None:
        self.began = time.monotonic()
        self.lines: list[str] = []
        self._fresh: queue.Queue[str | None] = queue.Queue()
        self.process = subprocess.Popen(
            command,
            cwd=ROOT,
            env=env,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            start_new_session=True,
        )
        self._reader = threading.Thread(target=self._read, daemon=True)
        self._reader.start()

    def _read(self) -> None:
        assert self.process.stdout is not None
        for line in self.process.stdout:
            self.lines.append(line.rstrip("\n"))
            self._fresh.put(line)
        self._fresh.put(None)

    def processor_seconds(self) -> float:
        """The processor time that it and all that it started have used, what has ended among it."""
        itself = psutil.Process(self.process.pid)
        used = 0.0
        for one in [itself, *itself.children(recursive=True)]:
            with suppress(psutil.NoSuchProcess):
                used += sum(one.cpu_times()[:4])
        return used

    @property
    def output(self) -> str:
        """All that it said."""
        return "\n".join(self.lines)

    def wait_for_line(self, start: str, patience: float = PATIENCE) -> float:
        """Wait until it says a line that begins so; the seconds since it was started."""
        deadline = time.monotonic() + patience
        while True:
            if any(line.startswith(start) for line in self.lines):
                return time.monotonic() - self.began
            try:
                line = self._fresh.get(timeout=max(0.0, deadline - time.monotonic()))
            except queue.Empty:
                raise AssertionError(f"No line “{start}…” within {patience} s. It said:\n{self.output}") from None
            if line is None:
                raise AssertionError(f"It ended with {self.process.wait()} before “{start}…”. It said:\n{self.output}")

    def interrupt(self, patience: float = 90.0) -> int:
        """Ctrl-C: the signal goes to the whole foreground group, as a terminal sends it."""
        os.killpg(self.process.pid, signal.SIGINT)
        return self.end(patience)

    def end(self, patience: float = 90.0) -> int:
        """Wait for its end."""
        code = self.process.wait(patience)
        self._reader.join(10)
        self.close()
        return code

    def close(self) -> None:
        """Kill what is left of the group."""
        if self.process.poll() is None:
            os.killpg(self.process.pid, signal.SIGKILL)
            self.process.wait()
        if self.process.stdout is not None:
            self._reader.join(10)
            self.process.stdout.close()


def processes_of(var: Path) -> list[psutil.Process]:
    """Every living process that has this var folder in its arguments, its environment, or as the place it stands."""
    found = []
    mark = str(var)
    for process in psutil.process_iter():
        try:
            if process.status() == psutil.STATUS_ZOMBIE or process.pid == os.getpid():
                continue
            # PostgreSQL's and Redis' processes write over their arguments and environment, but stand in their folder.
            if (
                process.cwd().startswith(mark)
                or any(mark in part for part in process.cmdline())
                or process.environ().get("GARBOARD_VAR") == mark
            ):
                found.append(process)
        except (psutil.Error, OSError):
            continue
    return found


def kill_everything(var: Path) -> int:
    """``kill -9`` to every process of this var folder, the database's too; how many there were."""
    killed = processes_of(var)
    for process in killed:
        try:
            process.kill()
        except psutil.NoSuchProcess:
            continue
    psutil.wait_procs(killed, timeout=10)
    wait_until(lambda: not processes_of(var), "every process is dead")
    return len(killed)


def wait_until(true: Callable[[], Any], what: str, patience: float = 90.0) -> None:
    """Wait until something is true."""
    deadline = time.monotonic() + patience
    while not true():
        assert time.monotonic() < deadline, f"Not within {patience} s: {what}"
        time.sleep(0.05)


@dataclass(frozen=True)
class Answer:
    """What an address answered."""

    status: int
    headers: dict[str, str]
    body: bytes

    @property
    def json(self) -> dict[str, Any]:
        """The body, read as JSON."""
        answer = json.loads(self.body)
        assert isinstance(answer, dict)
        return answer


def get(url: str, **headers: str) -> Answer:
    """GET, without following redirects and without a proxy."""

    class Stay(urllib.request.HTTPRedirectHandler):
        def redirect_request(self, *args: Any, **kwargs: Any) -> None:
            return None

    opener = urllib.request.build_opener(urllib.request.ProxyHandler({}), Stay)
    request = urllib.request.Request(url, headers={name.replace("_", "-"): value for name, value in headers.items()})
    try:
        with opener.open(request, timeout=30) as answer:
            return Answer(answer.status, {k.lower(): v for k, v in answer.headers.items()}, answer.read())
    except urllib.error.HTTPError as refused:
        with refused:
            return Answer(refused.code, {k.lower(): v for k, v in refused.headers.items()}, refused.read())
