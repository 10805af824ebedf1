"""``manage.py restore FROM``: everything back as it was when a backup was made."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from commands.refusals import Refused
from shopfloor.backup.postgresql import ProgramFailedError
from shopfloor.backup.restoring import restore_backup
from shopfloor.backup.sealing import SealError
from shopfloor.management.commands.backup import passphrase_from
from shopfloor.readiness import make_tables


class Command(BaseCommand):
    """Restore a backup into an empty place."""

    help = "Restores a backup into an empty database and an empty var folder, proves it, and brings it up to date."
    requires_system_checks = []

    def add_arguments(self, parser: CommandParser) -> None:
        """What to restore."""
        parser.add_argument("source", metavar="FROM", type=Path, help="the file that manage.py backup made")
        parser.add_argument("--passphrase-file", type=Path, help="a file whose first line is the passphrase")
        parser.add_argument("--overwrite", action="store_true", help="delete the records that are there now")

    def handle(self, *args: Any, source: Path, **options: Any) -> None:
        """Restore, prove, migrate."""
        try:
            passphrase = passphrase_from(options["passphrase_file"])
            found = restore_backup(source, passphrase, overwrite=options["overwrite"])
        except (SealError, ProgramFailedError) as problem:
            raise CommandError(str(problem)) from problem
        except Refused as refusal:
            raise CommandError(refusal.sentence) from refusal
        except OSError as problem:
            raise CommandError(f"The backup could not be put back: {problem.strerror}.") from problem
        make_tables()
        self.stdout.write(f"Restored as of {found.made_at}: every table and file is what the backup says.")
        self.stdout.write("Everybody has to log in again. Now run: manage.py verify_log, then manage.py serve")
        for digest in found.damaged:
            self.stdout.write(f"The backup was made without this damaged file: {digest}")
