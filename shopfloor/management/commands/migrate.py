"""``manage.py migrate``: Django's, as the role that owns the tables."""

from __future__ import annotations

from typing import Any

from django.core.management.base import CommandError
from django.core.management.commands.migrate import Command as Migrate
from django.db import DEFAULT_DB_ALIAS

from shopfloor.new_database import lay_out_if_empty
from shopfloor.readiness import NotReadyError, refuse_strange_database
from shopfloor.roles import as_owner, let_the_program_in


def _is_whole(options: dict[str, Any]) -> bool:
    """Whether this is to apply every migration that is missing, and nothing else."""
    others = ["app_label", "check_unapplied", "fake", "fake_initial", "plan", "prune"]
    return options["database"] == DEFAULT_DB_ALIAS and not any(options[name] for name in others)


class Command(Migrate):
    """Migrate as the owner, and let the program into what is new."""

    def handle(self, *args: Any, **options: Any) -> None:
        """Migrate."""
        with as_owner():
            try:
                refuse_strange_database()
            except NotReadyError as problem:
                raise CommandError(str(problem)) from problem
            if _is_whole(options) and lay_out_if_empty() and options["verbosity"]:
                self.stdout.write(
                    "The database was empty: its tables are made at once, and what came later is applied."
                )
            super().handle(*args, **options)
            let_the_program_in()
