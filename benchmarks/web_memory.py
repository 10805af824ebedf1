"""Peak memory of one web worker of ``manage.py serve``, after every page was asked for by eight people at once."""

from __future__ import annotations

import http.client
import signal
import socket
import subprocess
import sys
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from dataclasses import dataclass

import psutil

from shopfloor.database import ROOT


@dataclass(frozen=True)
class Memory:
    """Megabytes that a worker held at most, and how many answers it gave."""

    peak: float
    at_rest: float
    answers: int


def _free_port() -> int:
    with closing(socket.socket()) as trial:
        trial.bind(("127.0.0.1", 0))
        return int(trial.getsockname()[1])


def _peak(pid: int) -> float:
    """The most that was resident, in megabytes, as the kernel remembers it."""
    with open(f"/proc/{pid}/status", encoding="ascii") as file:
        lines = dict(line.split(":", 1) for line in file)
    return int(lines["VmHWM"].split()[0]) / 1024


def _ask(port: int, session: str, addresses: Sequence[str]) -> int:
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
    for address in addresses:
        connection.request("GET", address, headers={"Cookie": f"sessionid={session}"})
        answer = connection.getresponse()
        answer.read()
        if answer.status != 200:
            raise RuntimeError(f"{address} answered {answer.status}.")
    connection.close()
    return len(addresses)


def worker_memory(environment: dict[str, str], session: str, addresses: Sequence[str]) -> Memory:
    """Start the real thing with one worker, ask for the pages, and read what its worker held."""
    port = _free_port()
    process = subprocess.Popen(
        [sys.executable, str(ROOT / "manage.py"), "serve"],
        env=environment | {"PORT": str(port), "PUBLIC_URL": f"http://127.0.0.1:{port}"},
        stdout=subprocess.PIPE,
        text=True,
    )
    try:
        assert process.stdout is not None
        for line in process.stdout:
            if line.startswith("Ready"):
                break
        else:
            raise RuntimeError("The web server did not start; what went wrong stands above.")
        _ask(port, session, addresses[:1])
        # Beside the worker there is who keeps house, and who keeps the database: neither has loaded a page.
        worker = max(psutil.Process(process.pid).children(), key=lambda child: _peak(child.pid))
        at_rest = _peak(worker.pid)
        with ThreadPoolExecutor(8) as people:
            answers = sum(people.map(lambda _: _ask(port, session, addresses), range(8)))
        return Memory(_peak(worker.pid), at_rest, answers)
    finally:
        process.send_signal(signal.SIGTERM)
        process.wait(60)
