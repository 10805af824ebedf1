"""WSGI entry for gunicorn."""

import os

from shopfloor.database import start_database

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shopfloor.settings")
start_database()

from django.core.wsgi import get_wsgi_application  # noqa: E402

application = get_wsgi_application()
