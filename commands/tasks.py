"""The one Celery task behind everything that is asked for in a row."""

from __future__ import annotations

from celery import shared_task

from commands.background.running import run


@shared_task
def do_task(task_id: int) -> None:
    """Do what a row asks for. The message may come twice, late or never."""
    run(task_id)
