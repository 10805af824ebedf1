"""Having a log decoded in a process of its own, and listening to how far it is."""

from __future__ import annotations

import json
import selectors
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from django.conf import settings

SAY_AGAIN_SECONDS = 2.0
SILENCE_SECONDS = 300.0
BROKE_OFF = (
    "Reading stopped before the end of the file, perhaps because memory ran out. The file is kept. Try again, or add "
    "a shorter piece of the log."
)
STUCK = "Nothing was read for five minutes, so the reading was stopped. The file is kept. Try again."


class CouldNotReadError(Exception):
    """A log could not be read; ``sentence`` says why and what to do."""

    def __init__(self, sentence: str) -> None:
        super().__init__(sentence)
        self.sentence = sentence


@dataclass(frozen=True)
class Progress:
    """How far the reading is, in bytes of the file as it lies on the disk, and what is being done."""

    bytes_read: int
    frames_read: int
    doing: str


def summary_of(path: Path, *, name: str, size: int, on_progress: Callable[[Progress], None]) -> dict[str, Any]:
    """The stored form of the summary of a log (``engineering.canlog.from_json`` takes it).

    ``on_progress`` is called every two seconds or more often, even where nothing moves. What it raises ends the
    decoding.

    Raises:
        CouldNotReadError: the file is no CAN log, or the decoding broke off.
    """
    progress = Progress(0, 0, "opening the file")
    heard_at = time.monotonic()
    with _child(path, name, size) as child:
        for line in _lines_of(child):
            if line is None:
                if time.monotonic() - heard_at > SILENCE_SECONDS:
                    raise CouldNotReadError(STUCK)
            else:
                heard_at = time.monotonic()
                said = json.loads(line)
                if "problem" in said:
                    raise CouldNotReadError(said["problem"])
                if "summary" in said:
                    summary: dict[str, Any] = said["summary"]
                    return summary
                progress = Progress(said["bytes_read"], said["frames_read"], said["doing"])
            on_progress(progress)
    raise CouldNotReadError(BROKE_OFF)


@contextmanager
def _child(path: Path, name: str, size: int) -> Iterator[subprocess.Popen[bytes]]:
    """The process that decodes; it ends with the block, whatever happens."""
    command = [sys.executable, "-m", "findings.canlogs.child", str(path), name, str(size)]
    child = subprocess.Popen(  # noqa: S603  our own module
        command, cwd=settings.BASE_DIR, stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, bufsize=0
    )
    with child:
        try:
            yield child
        finally:
            child.kill()


def _lines_of(child: subprocess.Popen[bytes]) -> Iterator[bytes | None]:
    """The lines that the child says, with None whenever it was silent for a while; ends with its last word."""
    if child.stdout is None:
        raise ValueError("the child was started without an ear")
    rest = b""
    with selectors.DefaultSelector() as selector:
        selector.register(child.stdout, selectors.EVENT_READ)
        while True:
            if not selector.select(timeout=SAY_AGAIN_SECONDS):
                yield None
                continue
            piece = child.stdout.read(1 << 16)
            if not piece:
                return
            *lines, rest = (rest + piece).split(b"\n")
            yield from lines
