"""``manage.py bring_file``: put a file back that the store has lost."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from files import store
from files.references import references


class Command(BaseCommand):
    """Bring lost files again."""

    help = "Puts files back that are missing or altered: copies from a backup, or a report that a customer kept."

    def add_arguments(self, parser: CommandParser) -> None:
        """Which files."""
        parser.add_argument("files", nargs="+", type=Path, help="files to look at; each is known by its digest")

    def handle(self, *args: Any, files: list[Path], **options: Any) -> None:
        """Keep each file that some record names; a file that none names is refused."""
        wanted = {one.digest: one.what for one in references()}
        refused = 0
        for path in files:
            try:
                digest = store.digest_of_path(path)
                if digest in wanted:
                    was_there = store.keep_path(path).was_there
            except OSError as problem:
                raise CommandError(f"{path} can't be read or kept: {problem.strerror}.") from problem
            if digest not in wanted:
                refused += 1
                self.stdout.write(f"{path}: no record names this file (SHA-256 {digest}).")
            else:
                self.stdout.write(
                    f"{path}: {wanted[digest]} {'was complete already' if was_there else 'is complete again'}."
                )
        if refused:
            raise CommandError(f"{refused} file(s) were not kept.")
