"""WSGI entry, for a server other than ``manage.py serve``."""

import os

from shopfloor.database import start_database

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shopfloor.settings")
start_database()

from django.core.wsgi import get_wsgi_application  # noqa: E402

application = get_wsgi_application()

from shopfloor.checks import refuse_bad_settings  # noqa: E402

refuse_bad_settings(for_real=True)
