"""``manage.py list_acts``: every act of the program with its arguments, also into the developers' page."""

from __future__ import annotations

from argparse import ArgumentParser
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand

from commands.listing import listing, page_path, written_into


class Command(BaseCommand):
    """List the acts."""

    help = "Lists every act of the program; with --write into DEVELOPERS.md."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take whether to write."""
        parser.add_argument("--write", action="store_true", help="write the list into the developers' page")

    def handle(self, *args: Any, **options: Any) -> None:
        """Print the list, or put it where it stands."""
        if not options["write"]:
            self.stdout.write(listing())
            return
        page = page_path(settings.BASE_DIR)
        page.write_text(written_into(page.read_text()))
