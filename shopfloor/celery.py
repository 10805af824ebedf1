"""The Celery application: workers with ``REDIS_URL``, in the web process without."""

import os

from celery import Celery

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shopfloor.settings")

app = Celery("shopfloor")
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks()
app.autodiscover_tasks(["findings.reports"])
