"""Reading a log from beginning to end, with its progress in the row, so that it can be left, and taken up again.

The decoding itself is done in a process of its own (``findings.canlogs.child``): it needs libraries and memory that
the web pages do not, and a file that breaks it breaks nothing else.
"""

from __future__ import annotations

import time

from commands.background import Run
from commands.refusals import Refused
from files import room
from findings.canlogs.decoding import BROKE_OFF, STUCK, CouldNotReadError, Progress, summary_of
from findings.canlogs.models import CanLog, CanLogState
from findings.canlogs.storage import FROM_BACKUP, path_of

NOTE_EVERY_SECONDS = 0.5
MOST_ATTEMPTS = 3
GAVE_UP = (
    f"Reading stopped {MOST_ATTEMPTS} times before the end of the file, perhaps because memory ran out. The file is "
    "kept. Try again when the machine is less busy, or add a shorter piece of the log."
)
WENT_WRONG = (
    "The log could not be read. The file is kept. Try again, and tell the person who runs Garboard if it fails again."
)


class _ThrownAwayError(Exception):
    """Nobody wants the log any more."""


def may_be_read_next_time(problem: str) -> bool:
    """Whether reading a log again can help: it broke off or its file is away, rather than being no log at all."""
    return problem in {GAVE_UP, WENT_WRONG, BROKE_OFF, STUCK, room.SENTENCE} or problem.endswith(FROM_BACKUP)


def why_it_went_wrong(problem: Exception) -> str:
    """What is said of a log that was not read though it was tried again."""
    if room.is_full_disk(problem):
        return room.SENTENCE
    return problem.sentence if isinstance(problem, CouldNotReadError) else WENT_WRONG


def note_failure(log_id: int, sentence: str) -> None:
    """Say to whoever waits for a log why it could not be read."""
    CanLog.objects.filter(pk=log_id, state=CanLogState.WAITING).update(
        state=CanLogState.FAILED, problem=sentence, doing=""
    )


def read_log(run: Run) -> None:
    """Read a log and write down what was understood.

    Raises:
        Refused: it is no log that can be read, or its file is away.
        CouldNotReadError: the reading broke off.
    """
    log = CanLog.objects.filter(pk=int(run.subject), state=CanLogState.WAITING).first()
    if log is None:
        return
    CanLog.objects.filter(pk=log.pk).update(bytes_read=0, frames_read=0, doing="opening the file")
    try:
        with path_of(log) as path:
            summary = summary_of(path, name=log.name, size=log.size, on_progress=_Notes(run, log.pk))
    except _ThrownAwayError:
        return
    except CouldNotReadError as problem:
        if problem.sentence == BROKE_OFF:
            raise
        raise Refused(problem.sentence) from problem
    with run.finishing():
        CanLog.objects.filter(pk=log.pk, state=CanLogState.WAITING).update(
            state=CanLogState.READ, problem="", summary=summary, bytes_read=log.size, doing=""
        )


class _Notes:
    """Writes down how far the reading is, now and then."""

    def __init__(self, run: Run, log_id: int) -> None:
        self.run, self.log_id = run, log_id
        self.next_at = 0.0

    def __call__(self, progress: Progress) -> None:
        """Take note; ends the reading when it was taken for dead, or the log was thrown away."""
        if time.monotonic() < self.next_at:
            return
        self.next_at = time.monotonic() + NOTE_EVERY_SECONDS
        self.run.beat()
        noted = CanLog.objects.filter(pk=self.log_id, state=CanLogState.WAITING).update(
            bytes_read=progress.bytes_read, frames_read=progress.frames_read, doing=progress.doing[:80]
        )
        if not noted:
            raise _ThrownAwayError
