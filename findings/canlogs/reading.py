"""Reading a log from beginning to end, with its progress in the row, so that it can be left, and taken up again.

The decoding itself is done in a process of its own (``findings.canlogs.child``): it needs libraries and memory that
the web pages do not, and a file that breaks it breaks nothing else.
"""

from __future__ import annotations

import logging
import time
import uuid
from datetime import timedelta
from typing import Any

from django.db import transaction
from django.db.models import F, Q
from django.utils import timezone

from commands.refusals import Refused
from files import room
from findings.canlogs.decoding import BROKE_OFF, STUCK, CouldNotReadError, Progress, summary_of
from findings.canlogs.storage import FROM_BACKUP, path_of
from findings.models import CanLog
from findings.models.canlogs import CanLogState

logger = logging.getLogger(__name__)
SILENT_AFTER = timedelta(seconds=30)
NOTE_EVERY_SECONDS = 0.5
MOST_ATTEMPTS = 3
GAVE_UP = (
    f"Reading broke off {MOST_ATTEMPTS} times without an end, perhaps for want of memory. The file is kept. Try it "
    "once more when the machine has less to do, or bring a shorter piece of the log."
)
WENT_WRONG = (
    "The log could not be read. The file is kept. Try again, and tell whoever looks after this program if it fails "
    "again."
)


class TakenOverError(Exception):
    """Somebody else reads the log now, or it was thrown away: this reader goes without a word."""


def may_be_read_next_time(problem: str) -> bool:
    """Whether reading a log again can help: it broke off or its file is away, rather than being no log at all."""
    return problem in {GAVE_UP, WENT_WRONG, BROKE_OFF, STUCK, room.SENTENCE} or problem.endswith(FROM_BACKUP)


def read_log(log_id: int) -> None:
    """Read a log, if nobody else does, and write down what was understood or why it could not be read."""
    reader = uuid.uuid4()
    log = _claim(log_id, reader)
    if log is None:
        return
    try:
        with path_of(log) as path:
            summary = summary_of(path, name=log.name, size=log.size, on_progress=_Notes(log_id, reader))
    except TakenOverError:
        return
    except (Refused, CouldNotReadError) as problem:
        _finish(log_id, reader, state=CanLogState.FAILED, problem=problem.sentence)
    except Exception as problem:
        # The last stop before the person who waits: whatever it was, it is logged, said, and can be tried again.
        logger.exception("CAN log %s was not read", log_id)
        said = room.SENTENCE if room.is_full_disk(problem) else WENT_WRONG
        _finish(log_id, reader, state=CanLogState.FAILED, problem=said)
    else:
        _finish(log_id, reader, state=CanLogState.READ, problem="", summary=summary, bytes_read=log.size)


@transaction.atomic
def _claim(log_id: int, reader: uuid.UUID) -> CanLog | None:
    """Take the log, unless somebody who still gives signs of life has it, or it was tried too often."""
    now = timezone.now()
    free = Q(state=CanLogState.WAITING) | Q(state=CanLogState.READING, heard_at__lt=now - SILENT_AFTER)
    log = CanLog.objects.select_for_update().filter(free, pk=log_id).first()
    if log is None:
        return None
    if log.attempts >= MOST_ATTEMPTS:
        CanLog.objects.filter(pk=log_id).update(state=CanLogState.FAILED, problem=GAVE_UP, reader=None)
        return None
    CanLog.objects.filter(pk=log_id).update(
        state=CanLogState.READING,
        reader=reader,
        heard_at=now,
        attempts=F("attempts") + 1,
        bytes_read=0,
        frames_read=0,
        doing="opening the file",
        problem="",
    )
    return log


class _Notes:
    """Writes down how far the reading is, now and then."""

    def __init__(self, log_id: int, reader: uuid.UUID) -> None:
        self.log_id, self.reader = log_id, reader
        self.next_at = 0.0

    def __call__(self, progress: Progress) -> None:
        """Take note; tells the reader to go when it was taken for dead."""
        if time.monotonic() < self.next_at:
            return
        self.next_at = time.monotonic() + NOTE_EVERY_SECONDS
        noted = CanLog.objects.filter(pk=self.log_id, reader=self.reader, state=CanLogState.READING).update(
            heard_at=timezone.now(),
            bytes_read=progress.bytes_read,
            frames_read=progress.frames_read,
            doing=progress.doing[:80],
        )
        if not noted:
            raise TakenOverError


def _finish(log_id: int, reader: uuid.UUID, **facts: Any) -> None:
    CanLog.objects.filter(pk=log_id, reader=reader, state=CanLogState.READING).update(
        reader=None, heard_at=timezone.now(), doing="", **facts
    )
