"""The Celery worker with its beat on one box, where no Redis and no worker of its own runs.

``serve`` forks it before the web workers, so that it costs only what it writes. A process between the two watches over
it: starts it again when it dies, and ends all of it with the program, however that ends. All of them are one process
group. Of several programs in one folder one has the worker; another takes over when that one ends.
"""

from __future__ import annotations

import fcntl
import logging
import os
import signal
import sys
import time
import warnings
from collections.abc import Callable
from contextlib import suppress
from types import FrameType
from typing import Any

from django.conf import settings
from django.db import connections

from shopfloor import health
from shopfloor.lifeline import die_with_parent

logger = logging.getLogger(__name__)
LOOK_EVERY = 0.5
START_AGAIN_AFTER = 5.0
PATIENCE = 10.0  # for work under way at the end of the program; what is not done by then is taken up again
ENDING = [signal.SIGTERM, signal.SIGINT, signal.SIGHUP]


class WorkerProcess:
    """The processes beside the web workers."""

    def __init__(self) -> None:
        self.pid = 0

    def start(self) -> None:
        """Fork them. Nothing that a child must not have, such as a connection, may be open."""
        program = os.getpid()
        health.worker_starts()
        self.pid = os.fork()
        if self.pid == 0:
            _end_after(lambda: _watch(program))

    def stop(self) -> None:
        """End them, and wait until they have ended."""
        with suppress(ProcessLookupError, ChildProcessError):
            os.kill(self.pid, signal.SIGTERM)
            os.waitpid(self.pid, 0)
        _kill_group(self.pid)


class _Ended(BaseException):
    """The program ends."""


def _watch(program: int) -> None:
    """Have children do the work, and others when they die; end with the program."""
    os.setsid()

    def end(number: int, frame: FrameType | None) -> None:
        raise _Ended

    for number in ENDING:
        signal.signal(number, end)
    children: dict[int, Callable[[], None]] = {}
    next_at = {_work: 0.0, _beat: 0.0}
    try:
        _wait_for_turn(program)
        while True:
            for job, due in next_at.items():
                if job not in children.values() and time.monotonic() >= due:
                    next_at[job] = time.monotonic() + START_AGAIN_AFTER
                    children[_fork(job)] = job
            _look(program)
            for pid in [pid for pid in children if os.waitpid(pid, os.WNOHANG)[0]]:
                logger.error("%s ended by itself and is started again", "beat" if children[pid] is _beat else "worker")
                del children[pid]
    except _Ended:
        for number in ENDING:
            signal.signal(number, signal.SIG_IGN)
        _end_in_order(list(children))
        _kill_group(os.getpid())  # itself too, last of all


def _fork(job: Callable[[], None]) -> int:
    pid = os.fork()
    if pid == 0:
        _end_after(job)
    return pid


def _look(program: int) -> None:
    if os.getppid() != program:
        raise _Ended
    time.sleep(LOOK_EVERY)


def _wait_for_turn(program: int) -> None:
    """Go on once no other program works from this folder; the lock is held for as long as the process lives."""
    lock = os.open(settings.VAR / "worker.lock", os.O_WRONLY | os.O_CREAT, 0o600)
    while True:
        try:
            fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            _look(program)
        else:
            return


def _end_in_order(children: list[int]) -> None:
    """Let them end what they have begun, for a while."""
    until = time.monotonic() + PATIENCE
    for pid in children:
        with suppress(ProcessLookupError):
            os.kill(pid, signal.SIGTERM)
    for pid in children:
        with suppress(ChildProcessError):
            while not os.waitpid(pid, os.WNOHANG)[0] and time.monotonic() < until:
                time.sleep(0.1)


def _kill_group(leader: int) -> None:
    with suppress(ProcessLookupError, PermissionError):
        os.killpg(leader, signal.SIGKILL)


def _work() -> None:
    """Be the worker until the end."""
    app = _prepared("worker")
    with warnings.catch_warnings():
        warnings.filterwarnings("ignore", message=".*superuser.*")
        app.Worker(**worker_options()).start()


def _beat() -> None:
    """Be the beat until the end."""
    app = _prepared("beat")
    app.Beat(loglevel=settings.LOG_LEVEL, quiet=True, working_directory=None).run()


def _prepared(name: str) -> Any:
    """In a forked child: end with whoever watches, and obey signals as Celery does."""
    die_with_parent()
    for number in ENDING:
        signal.signal(number, signal.SIG_DFL)
    connections.close_all()
    sys.argv = ["manage.py", name]
    from shopfloor.celery import app

    return app


def worker_options() -> dict[str, Any]:
    """How the worker on one box is run."""
    return {
        "concurrency": 2,
        "pool": "prefork",
        "quiet": True,
        "loglevel": settings.LOG_LEVEL,
        "without_gossip": True,
        "without_mingle": True,
        "without_heartbeat": True,
        "optimization": "fair",
    }


def _end_after(work: Callable[[], None]) -> None:
    """In a forked child: work, then end without what the parent does at its end."""
    try:
        work()
    except SystemExit:
        pass
    except BaseException:
        logger.exception("the worker went wrong")
    finally:
        os._exit(0)
