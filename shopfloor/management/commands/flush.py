"""``manage.py flush``: Django's, as the role that owns the tables; the log's triggers refuse it all the same."""

from __future__ import annotations

from typing import Any

from django.core.management.commands.flush import Command as Flush

from shopfloor.roles import as_owner


class Command(Flush):
    """Flush as the owner."""

    def handle(self, **options: Any) -> None:
        """Flush."""
        with as_owner():
            super().handle(**options)
