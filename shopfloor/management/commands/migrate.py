"""``manage.py migrate``: Django's, as the role that owns the tables."""

from __future__ import annotations

from typing import Any

from django.core.management.base import CommandError
from django.core.management.commands.migrate import Command as Migrate

from shopfloor.readiness import NotReadyError, refuse_strange_database
from shopfloor.roles import as_owner, let_the_program_in


class Command(Migrate):
    """Migrate as the owner, and let the program into what is new."""

    def handle(self, *args: Any, **options: Any) -> None:
        """Migrate."""
        with as_owner():
            try:
                refuse_strange_database()
            except NotReadyError as problem:
                raise CommandError(str(problem)) from problem
            super().handle(*args, **options)
            let_the_program_in()
