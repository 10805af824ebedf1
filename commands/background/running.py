"""What a worker does with a task: take it, give signs of life while it works, and write down how it ended."""

from __future__ import annotations

import logging
import threading
import uuid
from collections.abc import Iterator
from contextlib import contextmanager, suppress

from django.conf import settings
from django.db import DatabaseError, connections, transaction
from django.db.models import F, Q
from django.db.models.functions import Now

from commands.background.kinds import KINDS, Run, TakenOverError
from commands.models import BackgroundTask, BackgroundTaskState, silent_after
from commands.refusals import Refused

logger = logging.getLogger(__name__)


def free() -> Q:
    """Tasks that anybody may take: due and not begun, or begun by somebody who went silent."""
    is_due = Q(not_before=None) | Q(not_before__lte=Now())
    is_silent = Q(heard_at__lt=Now() - silent_after())
    return Q(state=BackgroundTaskState.ASKED) & is_due | Q(state=BackgroundTaskState.TAKEN) & is_silent


def run(task_id: int, *, has_pulse: bool = True) -> None:
    """Do a task, if it is still to be done and nobody else does it."""
    found = _take(task_id)
    if found is None:
        return
    if found.task.tries > found.kind.tries:
        with suppress(TakenOverError):
            found.fail(found.kind.broke_off)
        return
    try:
        with _pulse(found) if has_pulse else _no_pulse():
            found.kind.work(found)
        if not found.is_ended:
            with found.finishing():
                pass
    except TakenOverError:
        logger.warning("%s was taken over by another worker", found.task)
    except Refused as refusal:
        with suppress(TakenOverError):
            found.fail(refusal.sentence)
    except Exception as problem:
        # The last stop before the person who waits: whatever it was, it is logged, tried again, and said.
        logger.exception("%s went wrong", found.task)
        with suppress(TakenOverError):
            found.fail_or_try_again(problem)


@transaction.atomic
def _take(task_id: int) -> Run | None:
    """Take a task for oneself. One whose tries are over is taken as well, to be given up."""
    task = BackgroundTask.objects.select_for_update(skip_locked=True).filter(free(), pk=task_id).first()
    if task is None:
        return None
    task.taker = uuid.uuid4()
    task.tries += 1
    BackgroundTask.objects.filter(pk=task.pk).update(
        state=BackgroundTaskState.TAKEN,
        taker=task.taker,
        tries=F("tries") + 1,
        taken_at=Now(),
        heard_at=Now(),
        not_before=None,
    )
    return Run(task, KINDS[task.kind])


@contextmanager
def _no_pulse() -> Iterator[None]:
    yield


@contextmanager
def _pulse(taken: Run) -> Iterator[None]:
    """Signs of life beside the work, on a connection of their own, for as long as the process lives and works."""
    ended = threading.Event()
    thread = threading.Thread(target=_beat_until, args=(taken, ended), name=f"pulse-{taken.task.pk}", daemon=True)
    thread.start()
    try:
        yield
    finally:
        ended.set()
        thread.join()


def _beat_until(taken: Run, ended: threading.Event) -> None:
    try:
        while not ended.wait(settings.WORKER_PULSE_SECONDS):
            try:
                taken.beat()
            except TakenOverError:
                return
            except DatabaseError as problem:  # it may be back at the next beat; the work itself says what it misses
                logger.warning("%s gave no sign of life: %s", taken.task, problem)
                connections.close_all()
    finally:
        connections.close_all()
