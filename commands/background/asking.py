"""Asking for work, and whether it is still to be done."""

from __future__ import annotations

import logging
from collections.abc import Iterator
from contextlib import contextmanager

from amqp.exceptions import AMQPError
from django.conf import settings
from django.db import IntegrityError, transaction
from django.db.models.functions import Now
from kombu.exceptions import KombuError
from redis.exceptions import RedisError

from commands.background.kinds import KINDS
from commands.models import BackgroundTask, BackgroundTaskState

logger = logging.getLogger(__name__)
OPEN = [BackgroundTaskState.ASKED, BackgroundTaskState.TAKEN]
_in_this_process = False


def sent_again_after() -> int:
    """Seconds after which a message counts as lost. An older one is worth nothing, as another was sent."""
    return 2 * settings.WORKER_PULSE_SECONDS


def ask(kind: str, subject: str = "") -> BackgroundTask:
    """Have something done after the commit. What is asked for and not yet begun is not asked for twice.

    Where it is being done at this moment, it is done once more after that: it may have begun before what changed now.
    """
    task = _asked(kind, subject)
    transaction.on_commit(lambda: _deliver(task))
    return task


def open_task(kind: str, subject: str = "") -> BackgroundTask | None:
    """What was asked for and is neither done nor given up."""
    return BackgroundTask.objects.filter(kind=kind, subject=subject, state__in=OPEN).first()


def do_now(task: BackgroundTask) -> None:
    """Do here and now, by its row and with all of its tries, what was asked for."""
    from commands.background.running import run

    while BackgroundTask.objects.filter(pk=task.pk, state=BackgroundTaskState.ASKED).update(not_before=None):
        run(task.pk, has_pulse=False)


@contextmanager
def done_in_this_process() -> Iterator[None]:
    """For whoever needs it done at once and has no worker (the demo, tests): done at the commit, by the same row."""
    global _in_this_process  # noqa: PLW0603  the one switch of this process
    before, _in_this_process = _in_this_process, True
    try:
        yield
    finally:
        _in_this_process = before


def send(task: BackgroundTask) -> bool:
    """Send a message to the workers that a task waits; whether it went out. One that did not is sent again."""
    from commands.tasks import do_task

    try:
        do_task.apply_async((task.pk,), expires=sent_again_after(), time_limit=KINDS[task.kind].longest)
    except (AMQPError, KombuError, RedisError, OSError) as problem:
        logger.error("%s could not be sent to a worker: %s", task, problem)
        return False
    return True


def _asked(kind: str, subject: str) -> BackgroundTask:
    if kind not in KINDS:
        raise ValueError(f"no kind of background work is called {kind}")
    same = BackgroundTask.objects.filter(kind=kind, subject=subject)
    while True:
        same.filter(state=BackgroundTaskState.TAKEN).update(asked_again=True)
        # Asked for by a person once more: what was put off is due now, with all of its tries.
        same.filter(state=BackgroundTaskState.ASKED).update(tries=0, not_before=None, sent_at=Now())
        if known := same.filter(state__in=OPEN).first():
            return known
        try:
            with transaction.atomic():
                return BackgroundTask.objects.create(kind=kind, subject=subject, asked_at=Now(), sent_at=Now())
        except IntegrityError:  # somebody asked for the same at this moment
            continue


def _deliver(task: BackgroundTask) -> None:
    if _in_this_process:
        do_now(task)
    else:
        send(task)
