"""Is the program well? The same answer for ``GET /health/`` and ``manage.py health``."""

from __future__ import annotations

import logging
import shutil
import time
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

from cryptography.hazmat.primitives.serialization import pkcs12
from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.db import Error as DatabaseFailure
from django.db import connection
from django.db.migrations.executor import MigrationExecutor
from django.http import HttpRequest, JsonResponse
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe
from redis import Redis
from redis.exceptions import RedisError

from commands.background.asking import OPEN
from commands.models import BackgroundTask, BackgroundTaskState
from files.checking import damages_at_a_glance
from shopfloor.backup.making import made_at, newest_backup
from shopfloor.roles import program_is_too_strong

logger = logging.getLogger(__name__)
LEAST_HEARTBEAT = timedelta(minutes=2)
LONGEST_WAIT = timedelta(minutes=2)
START_PATIENCE = 60.0  # seconds
LEAST_FREE_BYTES = 500 * 1000 * 1000
CERTIFICATE_WARNING = timedelta(days=30)
FILES_LOOKED_AT_EVERY = 30.0


@dataclass(frozen=True)
class Finding:
    """One thing that was looked at."""

    subject: str
    is_well: bool
    says: str


def heartbeat_file() -> Path:
    """The file whose time says when a worker was last heard of: it asks neither database nor Redis."""
    return Path(settings.VAR) / "heartbeat"


_worker_started: list[float] = []


def worker_starts() -> None:
    """Remember that this program starts a worker now, which will not be heard of for some seconds."""
    _worker_started[:] = [time.time()]


def note_heartbeat() -> None:
    """Remember that a worker did what beat sent, just now."""
    heartbeat_file().touch()


def findings() -> list[Finding]:
    """Everything that is looked at, the well and the unwell."""
    database = _looked_at("database", _database)
    found = [database]
    if database.is_well:
        found.append(_looked_at("migrations", _migrations))
        found.append(_looked_at("files", _files))
        found.append(_looked_at("role", _role))
    found.append(_looked_at("disk", _disk))
    found.append(_looked_at("certificate", _certificate))
    if settings.BACKUP_TO:
        found.append(_looked_at("backup", _backup))
    found.append(_looked_at("worker", _worker))
    if database.is_well:
        found.append(_looked_at("queue", _queue))
    return found


def _looked_at(subject: str, look: Callable[[], Finding]) -> Finding:
    """What looking found. A look that itself goes wrong is a finding and never an error of the page."""
    try:
        return look()
    except Exception:
        logger.exception("looking at %s went wrong", subject)
        return Finding(subject, is_well=False, says=f"Looking at the {subject} went wrong; the server's log says how.")


def _database() -> Finding:
    try:
        with connection.cursor() as cursor:
            cursor.execute("SELECT 1")
    except DatabaseFailure:
        if not connection.in_atomic_block:
            connection.close()
        return Finding("database", is_well=False, says="The database does not answer. Is PostgreSQL running?")
    return Finding("database", is_well=True, says="The database answers.")


def _migrations() -> Finding:
    executor = MigrationExecutor(connection)
    waiting = len(executor.migration_plan(executor.loader.graph.leaf_nodes()))
    if waiting:
        says = f"{waiting} migration(s) are not applied. Run manage.py migrate, or start with manage.py serve."
        return Finding("migrations", is_well=False, says=says)
    return Finding("migrations", is_well=True, says="Every migration is applied.")


def _role() -> Finding:
    if program_is_too_strong():
        says = (
            "The program's database role could switch off what protects the log. Give the tables to another role and "
            "name that one in MIGRATION_DATABASE_URL."
        )
        return Finding("role", is_well=True, says=says)
    return Finding("role", is_well=True, says="The program's database role cannot switch off what protects the log.")


_files_found: list[tuple[float, str, Finding]] = []


def _files() -> Finding:
    """Whether every file is there and none is known to be altered; asked anew every half minute at most."""
    place = str(settings.MEDIA_ROOT)
    if _files_found and _files_found[0][1] == place and time.monotonic() - _files_found[0][0] < FILES_LOOKED_AT_EVERY:
        return _files_found[0][2]
    damages = damages_at_a_glance()
    missing = sum(damage.is_missing for damage in damages)
    if damages:
        says = (
            f"{missing} stored file(s) are missing and {len(damages) - missing} are not what was stored. "
            "Run manage.py check_files to see which, and how to bring them again."
        )
        found = Finding("files", is_well=False, says=says)
    else:
        found = Finding("files", is_well=True, says="Every stored file is there.")
    _files_found[:] = [(time.monotonic(), place, found)] if found.is_well else []
    return found


def _disk() -> Finding:
    place = Path(settings.VAR)
    free = shutil.disk_usage(place).free
    if free < LEAST_FREE_BYTES:
        says = f"Only {free // 1_000_000} MB are free on the disk. Make room before nothing can be stored."
        return Finding("disk", is_well=False, says=says)
    return Finding("disk", is_well=True, says="The disk has room.")


def _certificate() -> Finding:
    path = Path(settings.SIGNING_P12) if settings.SIGNING_P12 else settings.VAR / "signing" / "shop.p12"
    if not path.exists() and not settings.SIGNING_P12:
        says = "There is no certificate yet, so no report can be signed. Run manage.py make_certificate once."
        return Finding("certificate", is_well=True, says=says)
    try:
        _, holder, _ = pkcs12.load_key_and_certificates(
            path.read_bytes(), settings.SIGNING_P12_PASSWORD.encode() or None
        )
    except (OSError, ValueError):
        holder = None
    if holder is None:
        says = "The certificate to sign with does not open. Check SIGNING_P12 and SIGNING_P12_PASSWORD."
        return Finding("certificate", is_well=False, says=says)
    until = holder.not_valid_after_utc
    if until < timezone.now():
        says = f"The certificate to sign with ran out on {until:%Y-%m-%d}. Renew it with manage.py make_certificate."
        return Finding("certificate", is_well=False, says=says)
    if until < timezone.now() + CERTIFICATE_WARNING:
        says = f"The certificate to sign with runs out on {until:%Y-%m-%d}. Renew it before then."
        return Finding("certificate", is_well=False, says=says)
    return Finding("certificate", is_well=True, says=f"The certificate to sign with is good until {until:%Y-%m-%d}.")


def _backup() -> Finding:
    """Whether the newest backup is as new as it should be."""
    newest = newest_backup(Path(settings.BACKUP_TO))
    if newest is None:
        says = "There is no backup in the folder of BACKUP_TO yet. The server's log says why none was made."
        return Finding("backup", is_well=False, says=says)
    age = timezone.now() - made_at(newest)
    hours = max(0, round(age.total_seconds() / 3600))
    if age > 2 * timedelta(hours=settings.BACKUP_EVERY_HOURS):
        says = f"The last backup is {hours} h old. The server's log says why no newer one was made."
        return Finding("backup", is_well=False, says=says)
    return Finding("backup", is_well=True, says=f"The last backup is {hours} h old.")


def _worker() -> Finding:
    if settings.REDIS_URL and not redis_answers():
        return Finding(
            "worker", is_well=False, says="Redis does not answer, so reports and the like have to wait. Is it running?"
        )
    who = "Are the Celery worker and beat running?" if settings.REDIS_URL else "Is manage.py serve running?"
    started = _worker_started[0] if _worker_started else 0.0
    try:
        beat_at = heartbeat_file().stat().st_mtime
    except FileNotFoundError:
        beat_at = 0.0
    if beat_at < started and time.time() - started < START_PATIENCE:
        return Finding("worker", is_well=True, says="The worker is starting.")
    if not beat_at:
        return Finding("worker", is_well=False, says=f"No worker has been heard from yet. {who}")
    age = timedelta(seconds=max(0, round(time.time() - beat_at)))
    if age > oldest_heartbeat():
        return Finding("worker", is_well=False, says=f"The worker was last heard from {age} ago. {who}")
    return Finding("worker", is_well=True, says=f"The worker was last heard from {age.seconds} s ago.")


def oldest_heartbeat() -> timedelta:
    """A worker that works is heard of more often than this, also where all of it is busy for a while."""
    return max(LEAST_HEARTBEAT, 6 * timedelta(seconds=settings.WORKER_PULSE_SECONDS))


def _queue() -> Finding:
    """What waits for a worker, and what was given up."""
    now = datetime.now(UTC)
    waiting = BackgroundTask.objects.filter(state__in=OPEN)
    count, oldest = waiting.count(), waiting.order_by("asked_at").first()
    failed = BackgroundTask.objects.filter(state=BackgroundTaskState.FAILED, ended_at__gt=now - timedelta(days=1))
    given_up = [f"{row.kind} at {row.ended_at:%Y-%m-%d %H:%M} UTC" for row in failed.order_by("-ended_at")[:3]]
    said = f" Given up within a day: {', '.join(given_up)}." if given_up else ""
    if oldest is None:
        return Finding("queue", is_well=True, says=f"Nothing waits for the worker.{said}")
    is_late = any(task.is_overdue or task.is_silent for task in waiting) and now - oldest.asked_at > LONGEST_WAIT
    tasks = "1 task waits for the worker or is" if count == 1 else f"{count} tasks wait for the worker or are"
    says = f"{tasks} being done, the oldest since {oldest.asked_at:%Y-%m-%d %H:%M} UTC."
    return Finding("queue", is_well=not is_late, says=says + said)


def redis_answers() -> bool:
    """Whether the Redis of the queue answers, without waiting long for it."""
    client = Redis.from_url(settings.REDIS_URL, socket_connect_timeout=2, socket_timeout=2)
    try:
        return bool(client.ping())
    except RedisError:
        return False
    finally:
        client.close()


@login_not_required
@never_cache
@require_safe
def health(request: HttpRequest) -> JsonResponse:
    """200 when all is well, else 503, with a sentence for each thing looked at. Public, and says nothing private."""
    looked_at = findings()
    is_well = all(finding.is_well for finding in looked_at)
    answer = {"well": is_well} | {finding.subject: finding.says for finding in looked_at}
    return JsonResponse(answer, status=200 if is_well else 503)
