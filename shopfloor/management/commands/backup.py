"""``manage.py backup TO``: database, files and keys in one sealed file, while the program runs."""

from __future__ import annotations

import getpass
import sys
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError, CommandParser

from shopfloor.backup.checking import check
from shopfloor.backup.making import make_backup, rotate
from shopfloor.backup.postgresql import ProgramFailedError
from shopfloor.backup.sealing import SealError, checked_passphrase, read_passphrase


def passphrase_from(file: Path | None) -> str:
    """The passphrase: from the file given, from ``BACKUP_PASSPHRASE_FILE``, or typed.

    Raises:
        SealError: there is none.
    """
    path = file or (Path(settings.BACKUP_PASSPHRASE_FILE) if settings.BACKUP_PASSPHRASE_FILE else None)
    if path is not None:
        return read_passphrase(path)
    if not sys.stdin.isatty():
        raise SealError("Name a file with the passphrase: --passphrase-file, or the setting BACKUP_PASSPHRASE_FILE.")
    return checked_passphrase(getpass.getpass("Passphrase of the backup: "))


class Command(BaseCommand):
    """Make a backup, or prove one."""

    help = "Writes database, files and keys into a new sealed file in a folder, and reads it again to its end."

    def add_arguments(self, parser: CommandParser) -> None:
        """Where to, and how it is sealed."""
        parser.add_argument("to", type=Path, help="the folder for the backup; with --check, the backup to read")
        parser.add_argument("--passphrase-file", type=Path, help="a file whose first line is the passphrase")
        parser.add_argument("--keep", type=int, default=0, help="then keep only so many of the newest in the folder")
        parser.add_argument(
            "--check", action="store_true", help="make none: read this one to its end and say if it is complete"
        )

    def handle(self, *args: Any, to: Path, **options: Any) -> None:
        """Make it, and say what is in it."""
        try:
            passphrase = passphrase_from(options["passphrase_file"])
            if options["check"]:
                found = check(to, passphrase)
                self.stdout.write(f"{to} is complete: made at {found.made_at}, {len(found.entries)} entries.")
                return
            made = make_backup(to, passphrase)
        except (SealError, ProgramFailedError) as problem:
            raise CommandError(str(problem)) from problem
        except OSError as problem:
            raise CommandError(f"The backup could not be written to {to}: {problem.strerror}.") from problem
        rows = sum(int(count) for count, _ in made.description.tables.values())
        files = sum(name.startswith("files/") for name in made.description.entries)
        self.stdout.write(f"{made.path}: {made.size:,} bytes, {rows:,} rows, {files} file(s), read again to its end.")
        self.stdout.write(f"Log head {made.description.number}: {made.description.head}")
        for digest in made.description.damaged:
            self.stdout.write(f"Left out, because it is not what was stored: {digest}. See manage.py check_files.")
        for path in rotate(to, options["keep"]):
            self.stdout.write(f"Deleted: {path.name}")
