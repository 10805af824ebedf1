"""The process that decodes a log: the file's path, name and size as arguments, lines of JSON as answer.

Started by ``findings.canlogs.decoding`` only. It knows neither Django nor the database.
"""

from __future__ import annotations

import json
import os
import signal
import sys
import time
from pathlib import Path
from typing import Any

from engineering.canlog import LogProblem, Progress, to_json
from findings.canlogs.unpacking import summarize_file

SAY_EVERY_SECONDS = 0.25
NICER = 10  # the pages come first


def say(**words: Any) -> None:
    """One line to whoever listens; nobody listening any more ends the process."""
    try:
        sys.stdout.write(json.dumps(words) + "\n")
        sys.stdout.flush()
    except BrokenPipeError:
        os._exit(1)


class _Teller:
    """Tells how far the reading is, now and then."""

    def __init__(self) -> None:
        self.next_at = 0.0

    def __call__(self, progress: Progress) -> None:
        """Called by the decoding."""
        if time.monotonic() < self.next_at:
            return
        self.next_at = time.monotonic() + SAY_EVERY_SECONDS
        is_at_end = progress.size is not None and progress.bytes_read >= progress.size
        doing = "putting together what was found" if is_at_end else "reading and decoding frames"
        say(bytes_read=progress.bytes_read, frames_read=progress.frames, doing=doing)


def decode(path: Path, name: str, size: int) -> None:
    """Decode a log and say what came of it."""
    try:
        summary = summarize_file(path, name=name, size=size, on_progress=_Teller())
    except LogProblem as problem:
        say(problem=problem.sentence)
    else:
        say(summary=to_json(summary))


if __name__ == "__main__":
    signal.signal(signal.SIGINT, signal.SIG_DFL)  # Ctrl-C ends it with whoever started it, and without a word
    os.nice(NICER)
    decode(Path(sys.argv[1]), sys.argv[2], int(sys.argv[3]))
