"""The project: settings, URLs, home page, search and everything that knows every floor."""

from shopfloor.celery import app as celery_app

__all__ = ["celery_app"]
