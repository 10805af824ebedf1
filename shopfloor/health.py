"""Is the program well? The same answer for ``GET /health/`` and ``manage.py health``."""

from __future__ import annotations

import time
from dataclasses import dataclass
from datetime import timedelta

from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.core.cache import cache
from django.db import DatabaseError, connection
from django.db.migrations.executor import MigrationExecutor
from django.http import HttpRequest, JsonResponse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe
from redis.exceptions import RedisError

HEARTBEAT = "worker-heartbeat"
OLDEST_HEARTBEAT = timedelta(minutes=5)


@dataclass(frozen=True)
class Finding:
    """One thing that was looked at."""

    subject: str
    is_well: bool
    says: str


def note_heartbeat() -> None:
    """Remember that a worker did what beat sent, just now."""
    cache.set(HEARTBEAT, time.time(), timeout=None)


def findings() -> list[Finding]:
    """Everything that is looked at, the well and the unwell."""
    database = _database()
    looked_at = [database]
    if database.is_well:
        looked_at.append(_migrations())
    if settings.REDIS_URL:
        looked_at.append(_worker())
    return looked_at


def _database() -> Finding:
    try:
        with connection.cursor() as cursor:
            cursor.execute("SELECT 1")
    except DatabaseError:
        return Finding("database", is_well=False, says="The database does not answer. Is PostgreSQL running?")
    return Finding("database", is_well=True, says="The database answers.")


def _migrations() -> Finding:
    executor = MigrationExecutor(connection)
    waiting = len(executor.migration_plan(executor.loader.graph.leaf_nodes()))
    if waiting:
        says = f"{waiting} migration(s) are not applied. Run manage.py migrate, or start with manage.py serve."
        return Finding("migrations", is_well=False, says=says)
    return Finding("migrations", is_well=True, says="Every migration is applied.")


def _worker() -> Finding:
    try:
        beat_at = cache.get(HEARTBEAT)
    except RedisError:
        return Finding("worker", is_well=False, says="Redis does not answer, so no report can be made. Is it running?")
    if beat_at is None:
        return Finding(
            "worker", is_well=False, says="No worker has been heard of yet. Are the Celery worker and beat running?"
        )
    age = timedelta(seconds=max(0, round(time.time() - beat_at)))
    if age > OLDEST_HEARTBEAT:
        says = f"The worker was last heard of {age} ago. Are the Celery worker and beat running?"
        return Finding("worker", is_well=False, says=says)
    return Finding("worker", is_well=True, says=f"The worker was heard of {age.seconds} s ago.")


@login_not_required
@never_cache
@require_safe
def health(request: HttpRequest) -> JsonResponse:
    """200 when all is well, else 503, with a sentence for each thing looked at. Public, and says nothing private."""
    looked_at = findings()
    is_well = all(finding.is_well for finding in looked_at)
    answer = {"well": is_well} | {finding.subject: finding.says for finding in looked_at}
    return JsonResponse(answer, status=200 if is_well else 503)
