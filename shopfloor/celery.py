"""The Celery application: workers with ``REDIS_URL``, in the web process without."""

import os
from typing import Any

from celery import Celery
from celery.signals import beat_init, celeryd_init

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shopfloor.settings")

app = Celery("shopfloor")
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks()
app.autodiscover_tasks(["findings.canlogs", "findings.reports"])


@celeryd_init.connect
def check_worker(**kwargs: Any) -> None:
    """A worker starts only with good settings."""
    from shopfloor.checks import refuse_bad_settings

    refuse_bad_settings(for_real=True)


@beat_init.connect
def check_beat(**kwargs: Any) -> None:
    """Beat starts only with good settings, and lets itself be heard at once."""
    from shopfloor.checks import refuse_bad_settings
    from shopfloor.tasks import beat_the_heart

    refuse_bad_settings(for_real=True)
    beat_the_heart.apply_async(expires=300)
