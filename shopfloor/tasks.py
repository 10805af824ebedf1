"""Tasks that keep the house in order; beat sends them, a worker does them."""

from __future__ import annotations

from celery import shared_task
from django.core.management import call_command

from shopfloor.health import note_heartbeat


@shared_task
def beat_the_heart() -> None:
    """Tell ``/health/`` that beat sends and a worker works."""
    note_heartbeat()


@shared_task
def clear_old_sessions() -> None:
    """Forget the sessions that have ended."""
    call_command("clearsessions")
