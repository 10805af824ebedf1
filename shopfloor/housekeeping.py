"""What is done every now and then on one box, where no Celery beat and worker run: the same list, in a process beside.

``serve`` forks it before the web workers, so that it costs only what it writes. It ends with the program, however that
ends, and is started again when it dies.
"""

from __future__ import annotations

import importlib
import logging
import os
import signal
import threading
import time
from collections.abc import Callable, Mapping
from contextlib import suppress
from types import FrameType
from typing import Any

from django.conf import settings
from django.db import connections

logger = logging.getLogger(__name__)
LOOK_EVERY = 1.0
START_AGAIN_AFTER = 5.0


class Housekeeper:
    """Does what is due, each thing in a thread of its own and never twice at once."""

    def __init__(self, schedule: Mapping[str, Mapping[str, Any]]) -> None:
        self.schedule = schedule
        self.next_at = dict.fromkeys(schedule, 0.0)  # all of it at the start: a box that is on by day only does it too
        self.at_work: dict[str, threading.Thread] = {}

    def look(self) -> list[str]:
        """Start what is due; its names."""
        started = []
        for name, entry in self.schedule.items():
            thread = self.at_work.get(name)
            if time.monotonic() < self.next_at[name] or (thread is not None and thread.is_alive()):
                continue
            self.next_at[name] = time.monotonic() + float(entry["schedule"])
            self.at_work[name] = threading.Thread(target=_do, args=(str(entry["task"]),), name=name, daemon=True)
            self.at_work[name].start()
            started.append(name)
        return started


def _do(name: str) -> None:
    module, _, function = name.rpartition(".")
    try:
        getattr(importlib.import_module(module), function)()
    except Exception:
        # Nobody waits for it: what went wrong is logged, and it is tried again when it is due again.
        logger.exception("%s went wrong", name)
    finally:
        connections.close_all()


class HousekeepingProcess:
    """The process beside the web workers."""

    def __init__(self) -> None:
        self.pid = 0

    def start(self) -> None:
        """Fork it. Nothing that a child must not have, such as a connection, may be open."""
        program = os.getpid()
        self.pid = os.fork()
        if self.pid == 0:
            _end_after(lambda: _watch(program))

    def stop(self) -> None:
        """End it, and wait until it has ended."""
        with suppress(ProcessLookupError, ChildProcessError):
            os.kill(self.pid, signal.SIGTERM)
            os.waitpid(self.pid, 0)


def _watch(program: int) -> None:
    """Have a child do the work, and another when it dies; end with the program."""
    child = 0

    def end(number: int, frame: FrameType | None) -> None:
        if child:
            with suppress(ProcessLookupError):
                os.kill(child, signal.SIGKILL)
        os._exit(0)

    for number in [signal.SIGTERM, signal.SIGINT, signal.SIGHUP]:
        signal.signal(number, end)
    watcher = os.getpid()
    while os.getppid() == program:
        child = os.fork()
        if child == 0:
            _end_after(lambda: _work(watcher))
        began = time.monotonic()
        while not os.waitpid(child, os.WNOHANG)[0]:
            if os.getppid() != program:
                end(0, None)
            time.sleep(LOOK_EVERY)
        child = 0
        logger.error("housekeeping ended by itself after %.0f s and is started again", time.monotonic() - began)
        time.sleep(START_AGAIN_AFTER)


def _work(watcher: int) -> None:
    for number in [signal.SIGTERM, signal.SIGINT, signal.SIGHUP]:
        signal.signal(number, signal.SIG_DFL)
    housekeeper = Housekeeper(settings.CELERY_BEAT_SCHEDULE)
    while os.getppid() == watcher:
        housekeeper.look()
        time.sleep(LOOK_EVERY)


def _end_after(work: Callable[[], None]) -> None:
    """In a forked child: work, then end without what the parent does at its end."""
    try:
        work()
    except BaseException:
        logger.exception("housekeeping went wrong")
    finally:
        os._exit(0)
