"""The Celery application: with ``REDIS_URL`` for workers elsewhere, without for the one that ``serve`` runs."""

import os
from typing import Any

from celery import Celery
from celery.signals import beat_init, celeryd_init, worker_process_init

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shopfloor.settings")

app = Celery("shopfloor")
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks()


@celeryd_init.connect
def check_worker(**kwargs: Any) -> None:
    """A worker starts only with good settings."""
    from django.conf import settings

    from shopfloor.checks import refuse_bad_settings

    refuse_bad_settings(for_real=bool(settings.REDIS_URL))  # serve has asked already, and may be a demo


@beat_init.connect
def check_beat(**kwargs: Any) -> None:
    """Beat starts only with good settings, and looks at once for what waits, or is due on a box that is on by day."""
    from django.conf import settings

    from shopfloor.checks import refuse_bad_settings
    from shopfloor.tasks import ask_for_backup_if_due, keep_head_outside, send_waiting_again

    refuse_bad_settings(for_real=bool(settings.REDIS_URL))
    for task in [send_waiting_again, ask_for_backup_if_due, keep_head_outside]:
        task.apply_async(expires=300)


@worker_process_init.connect
def end_with_the_worker(**kwargs: Any) -> None:
    """A killed worker leaves none of its processes."""
    from shopfloor.lifeline import die_with_parent

    die_with_parent()
