"""Calling somebody to read a log: a worker, or a thread beside the web pages where there is none.

A reader may die at any moment: the machine is switched off, the process is replaced. Whoever looks at the log's page
then calls another one (``call_again_if_silent``).
"""

from __future__ import annotations

import logging
import threading
from datetime import timedelta

from django.conf import settings
from django.db import connections, transaction
from django.db.models import Q
from django.utils import timezone

from findings.canlogs.reading import SILENT_AFTER, read_log
from findings.canlogs.tasks import read_can_log
from findings.models import CanLog
from findings.models.canlogs import CanLogState
from staff.sending import send

logger = logging.getLogger(__name__)
CALL_AGAIN_AFTER = timedelta(seconds=20)
_one_at_a_time = threading.Semaphore(1)
_at_work: set[int] = set()
_at_work_lock = threading.Lock()


def call_reader(log: CanLog) -> None:
    """Have the log read after the commit. Calling twice is no harm: one reader takes it, the other goes."""
    CanLog.objects.filter(pk=log.pk).update(asked_at=timezone.now())
    transaction.on_commit(lambda: _send(log.pk))


def call_again_if_silent(log: CanLog) -> bool:
    """Call another reader where the one that was called has not come, or has gone silent. Returns whether it did."""
    now = timezone.now()
    silent = Q(state=CanLogState.WAITING) | Q(state=CanLogState.READING, heard_at__lt=now - SILENT_AFTER)
    not_asked = Q(asked_at=None) | Q(asked_at__lt=now - CALL_AGAIN_AFTER)
    if not CanLog.objects.filter(silent & not_asked, pk=log.pk).update(asked_at=now):
        return False
    transaction.on_commit(lambda: _send(log.pk))
    return True


def call_every_silent_one() -> int:
    """Call a reader for every log that waits for one without a sign of life; how many there were."""
    under_way = CanLog.objects.filter(state__in=[CanLogState.WAITING, CanLogState.READING]).defer("summary", "mapping")
    return sum(call_again_if_silent(log) for log in under_way)


def _send(log_id: int) -> None:
    if not CanLog.objects.filter(pk=log_id, state__in=[CanLogState.WAITING, CanLogState.READING]).exists():
        return
    if not settings.CELERY_TASK_ALWAYS_EAGER:
        send(read_can_log, log_id)
        return
    with _at_work_lock:
        if log_id in _at_work:
            return
        _at_work.add(log_id)
    threading.Thread(target=_read_aside, args=(log_id,), name=f"can-log-{log_id}", daemon=True).start()


def _read_aside(log_id: int) -> None:
    try:
        with _one_at_a_time:
            read_log(log_id)
    except Exception:
        # Nobody waits for a thread: what went wrong is logged here, and the row's silence calls the next reader.
        logger.exception("CAN log %s was not read", log_id)
    finally:
        connections.close_all()
        with _at_work_lock:
            _at_work.discard(log_id)
