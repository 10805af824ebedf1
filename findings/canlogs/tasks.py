"""Work on CAN logs that a worker does."""

from __future__ import annotations

from celery import shared_task

from findings.canlogs.reading import read_log


@shared_task
def read_can_log(log_id: int) -> None:
    """Read a log. Doing it twice, or at once, reads it once."""
    read_log(log_id)
