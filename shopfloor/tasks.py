"""Tasks that keep the house in order. Beat sends them and a worker does them, or ``shopfloor.housekeeping`` does."""

from __future__ import annotations

import fcntl
import logging
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path

from celery import shared_task
from django.conf import settings
from django.core.management import call_command

from files.checking import damages_by_digest, sweep
from findings.canlogs.dispatch import call_every_silent_one
from findings.reports.waiting import send_every_silent_one
from shopfloor.backup.making import made_at, make_backup, newest_backup, rotate
from shopfloor.backup.sealing import read_passphrase
from shopfloor.health import note_heartbeat
from vessels.log.anchor import append_to_file

logger = logging.getLogger(__name__)


@shared_task
def beat_the_heart() -> None:
    """Tell ``/health/`` that beat sends and a worker works."""
    note_heartbeat()


@shared_task
def clear_old_sessions() -> None:
    """Forget the sessions that have ended."""
    call_command("clearsessions")


@shared_task
def send_waiting_again() -> None:
    """Send again what was asked for and has no sign of life: its message was lost, or its worker killed."""
    send_every_silent_one()
    call_every_silent_one()


@shared_task
def back_up_if_due() -> bool:
    """Make a backup where one is wanted and the newest is old enough; whether one was made."""
    if not settings.BACKUP_TO:
        return False
    folder = Path(settings.BACKUP_TO)
    with _alone("backup") as is_alone:
        newest = newest_backup(folder)
        if not is_alone or (newest and datetime.now(UTC) - made_at(newest) < backup_interval()):
            return False
        made = make_backup(folder, read_passphrase(Path(settings.BACKUP_PASSPHRASE_FILE)))
        for digest in made.description.damaged:
            logger.error("stored file %s is not what was kept and is not in the backup", digest)
        rotate(folder, settings.BACKUP_KEEP)
        return True


def backup_interval() -> timedelta:
    """How often backups are made; a few minutes less, so that the hour of the day does not wander."""
    return timedelta(hours=settings.BACKUP_EVERY_HOURS) - timedelta(minutes=5)


@shared_task
def keep_head_outside() -> int:
    """Add the heads of the log that ``ANCHOR_FILE`` lacks; how many."""
    if not settings.ANCHOR_FILE:
        return 0
    with _alone("anchor") as is_alone:
        return append_to_file(Path(settings.ANCHOR_FILE)) if is_alone else 0


@shared_task
def check_stored_files() -> int:
    """Read every stored file and hold it against its digest; how many are missing or altered."""
    sweep()
    damages = list(damages_by_digest())
    for damage in damages:
        logger.error(damage.sentence)
    return len(damages)


@contextmanager
def _alone(what: str) -> Iterator[bool]:
    """Whether nobody else does this at the moment: a message may be delivered twice."""
    with (settings.VAR / f"{what}.lock").open("ab") as lock:
        try:
            fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            yield False
        else:
            yield True
