"""``manage.py health``: what ``GET /health/`` says, on the command line."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand, CommandError

from shopfloor.health import findings


class Command(BaseCommand):
    """Say what is well and what is not; exit with 1 when something is not."""

    help = "Says whether the database answers, every migration is applied and, with REDIS_URL, a worker is alive."
    requires_system_checks = []

    def handle(self, *args: Any, **options: Any) -> None:
        """One line for each thing looked at."""
        looked_at = findings()
        for finding in looked_at:
            self.stdout.write(f"{finding.subject}: {finding.says}")
        if not all(finding.is_well for finding in looked_at):
            raise CommandError("Not everything is well.")
