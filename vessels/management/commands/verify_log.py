"""``manage.py verify_log``: walk every vessel's chain and name the first broken link."""

from __future__ import annotations

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from vessels.log.verify import broken_link
from vessels.models import Vessel


class Command(BaseCommand):
    """Prove that the vessel log is what was written."""

    help = "Walks the digests of every vessel's log and names the first broken link of each."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take vessel numbers, or none for all."""
        parser.add_argument("vessel", nargs="*", type=int, help="numbers of vessels; all when left out")

    def handle(self, *args: Any, **options: Any) -> None:
        """Print what was proven; exit with status 1 when a link is broken."""
        vessels = Vessel.objects.order_by("pk")
        if options["vessel"]:
            vessels = vessels.filter(pk__in=options["vessel"])
        entries, broken = 0, 0
        for vessel in vessels.iterator():
            entries += vessel.log_position
            link = broken_link(vessel)
            if link is not None:
                broken += 1
                what = f", {link.entry.kind} {link.entry.pk} of {link.entry.happened_at:%Y-%m-%d}" if link.entry else ""
                self.stdout.write(f"BROKEN vessel {vessel.pk} ({vessel}): {link.sentence}{what}")
        if broken:
            raise CommandError(f"The log of {broken} vessel(s) is not what was written.")
        self.stdout.write(f"{vessels.count()} vessels, {entries} entries: every digest agrees.")
