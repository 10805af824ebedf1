"""``manage.py check_files``: read every stored file and hold it against its digest."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand, CommandError

from files.checking import damages_by_digest, sweep
from files.references import references


class Command(BaseCommand):
    """Prove that every file is what was kept."""

    help = "Reads every stored file (signed reports, CAN logs, the logo) and names those that are missing or altered."

    def handle(self, *args: Any, **options: Any) -> None:
        """One line for each damage; exit with status 1 when there is one."""
        sweep()
        damages = list(damages_by_digest())
        for damage in damages:
            self.stdout.write(damage.sentence)
        if damages:
            raise CommandError(
                f"{len(damages)} file(s) are missing or altered. Bring each again with “manage.py bring_file FILE”, "
                "from a backup or from somebody who has a copy."
            )
        self.stdout.write(f"{len({one.digest for one in references()})} file(s): every digest agrees.")
