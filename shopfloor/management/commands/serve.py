"""``manage.py serve``: everything that ``make serve`` and ``make demo`` do after the installation."""

from __future__ import annotations

import gc
import io
import sys
from collections.abc import Callable
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandParser
from django.core.wsgi import get_wsgi_application
from django.db import connections
from django.urls import get_resolver

from shopfloor.checks import refuse_bad_settings
from shopfloor.readiness import (
    NotReadyError,
    collect_static_files,
    load_what_is_shared,
    make_tables,
    refuse_absent_services,
    take_folder_for_demo,
)
from shopfloor.serving import PortTakenError, WebServer, refuse_taken_port
from shopfloor.worker import WorkerProcess
from staff.models import Person


class _Said(io.StringIO):
    """What the demo says: how far it has come goes out at once, the logins are kept for the end."""

    def __init__(self, tell: Callable[[str], object]) -> None:
        super().__init__()
        self._tell = tell
        self.logins: list[str] = []

    def write(self, text: str) -> int:
        """Take one line."""
        if text.startswith("login:"):
            self.logins.append(text.strip())
        elif text.strip():
            self._tell(text.strip())
            sys.stdout.flush()
        return len(text)


class Command(BaseCommand):
    """Check the settings, bring the database up to date, and serve until stopped."""

    help = "Serves the program with gunicorn, after checking the settings and migrating the database."
    requires_system_checks = []  # refuse_bad_settings says the same, one sentence a line

    def add_arguments(self, parser: CommandParser) -> None:
        """Demo or not."""
        parser.add_argument("--demo", action="store_true", help="fill an empty database with the demo scenario")

    def handle(self, *args: Any, **options: Any) -> None:
        """Prepare, then serve until a signal ends it."""
        refuse_bad_settings(for_real=not options["demo"])
        try:
            if options["demo"]:
                take_folder_for_demo()
            refuse_taken_port()
            refuse_absent_services()
        except (PortTakenError, NotReadyError) as problem:
            sys.exit(str(problem))
        make_tables()
        collect_static_files()
        logins = self._fill_demo() if options["demo"] else []
        application = get_wsgi_application()
        load_what_is_shared()
        get_resolver().url_patterns  # noqa: B018  every view is loaded before the workers are forked
        connections.close_all()  # a connection must not be shared by the workers that are forked from here

        def tell_ready() -> None:
            host = "127.0.0.1" if settings.BIND in {"0.0.0.0", "::"} else settings.BIND  # noqa: S104
            print(f"Ready: http://{host}:{settings.PORT}/", *logins, sep="\n", flush=True)

        sys.stdout.flush()
        gc.collect()
        gc.set_threshold(700, 10, 10)  # as usual, for those that serve for months
        gc.freeze()  # what is loaded is shared by all that are forked, as long as nobody's collection writes to it
        worker = WorkerProcess()
        if not settings.REDIS_URL:
            worker.start()
        try:
            WebServer(application, tell_ready).run()
        finally:
            if not settings.REDIS_URL:
                worker.stop()

    def _fill_demo(self) -> list[str]:
        if not Person.objects.exists():
            self.stdout.write("Filling the database with an invented shop: a minute, or several on a busy machine.")
        said = _Said(self.stdout.write)
        call_command("demo", if_empty=True, stdout=said)
        return said.logins
