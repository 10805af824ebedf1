"""Tasks that keep the house in order. Beat sends them now and then, and a worker does them."""

from __future__ import annotations

import fcntl
import logging
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

from celery import shared_task
from django.conf import settings
from django.core.management import call_command
from django.utils import timezone

from commands.background import Kind, Run, ask
from commands.background.resending import forget_the_old, send_again
from files.checking import damages_by_digest, sweep
from files.room import is_full_disk
from shopfloor.backup.making import made_at, make_backup, newest_backup, rotate
from shopfloor.backup.sealing import read_passphrase
from shopfloor.health import note_heartbeat
from staff.queries import shop_profile
from vessels.log.anchor import append_to_file
from workorders.upkeep.keeping import bring_up_to_date

logger = logging.getLogger(__name__)


@shared_task
def clear_old_sessions() -> None:
    """Forget the sessions that have ended."""
    call_command("clearsessions")


@shared_task
def send_waiting_again() -> None:
    """Send again what was asked for and has no sign of life; and let ``/health/`` know that beat and worker work."""
    note_heartbeat()
    send_again()
    forget_the_old()


@shared_task
def judge_services_ahead() -> int:
    """Judge what was marked of service due, so that nobody who looks waits for it; how many were judged."""
    with timezone.override(ZoneInfo(shop_profile().time_zone)):
        return bring_up_to_date()


@shared_task
def ask_for_backup_if_due() -> bool:
    """Ask for a backup where one is wanted and the newest is old enough; whether one was asked for."""
    if not is_backup_due():
        return False
    ask(BACKUP.name)
    return True


def is_backup_due() -> bool:
    """Whether a backup is wanted and the newest is old enough."""
    if not settings.BACKUP_TO:
        return False
    newest = newest_backup(Path(settings.BACKUP_TO))
    return newest is None or datetime.now(UTC) - made_at(newest) >= backup_interval()


def back_up(run: Run) -> None:
    """Make the backup that is due."""
    back_up_if_due()


def back_up_if_due() -> bool:
    """Make a backup unless a new one was made meanwhile, or is being made; whether one was made."""
    with _alone("backup") as is_alone:
        if not is_alone or not is_backup_due():
            return False
        folder = Path(settings.BACKUP_TO)
        made = make_backup(folder, read_passphrase(Path(settings.BACKUP_PASSPHRASE_FILE)))
        for digest in made.description.damaged:
            logger.error("stored file %s is not what was kept and is not in the backup", digest)
        rotate(folder, settings.BACKUP_KEEP)
        return True


def _why_no_backup(problem: Exception) -> str:
    if is_full_disk(problem):
        return "The disk that backups go to is full. Make room, or lower BACKUP_KEEP."
    return "The backup could not be made; the server's log says why."


BACKUP = Kind(
    "backup",
    work=back_up,
    went_wrong=_why_no_backup,
    broke_off="Making the backup stopped again and again, perhaps because memory or time ran out.",
    longest=6 * 3600,
)


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
