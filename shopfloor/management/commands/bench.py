"""``manage.py bench``: measure the pages, the report and a worker's memory on a database made for it."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError, CommandParser


class Command(BaseCommand):
    """Fill two databases of the benchmark's own, and print every ratio with its goal."""

    help = "Measures pages, reports and memory on databases of its own under var/bench; never touches the shop's data."
    requires_system_checks = []

    def add_arguments(self, parser: CommandParser) -> None:
        """Take the size, and how thoroughly to measure."""
        parser.add_argument("--hulls", type=int, help="vessels in the large database")
        parser.add_argument("--entries", type=int, help="log entries in the large database")
        parser.add_argument("--rounds", type=int, help="how often each page is asked for")
        parser.add_argument("--keep", action="store_true", help="measure what an earlier run of this size filled")
        parser.add_argument("--quick", action="store_true", help="a small shop and few rounds: does it run at all?")

    def handle(self, *args: Any, **options: Any) -> None:
        """Measure, and say each figure."""
        try:
            from benchmarks.run import Wanted, run
        except ModuleNotFoundError as missing:
            if (missing.name or "").partition(".")[0] != "benchmarks":
                raise
            raise CommandError(
                "The benchmark is not part of this installation, such as the container's image: it comes with the "
                "source code. Run “make bench” in a copy of that."
            ) from missing
        asked = {name: options[name] for name in ("hulls", "entries", "rounds") if options[name] is not None}
        wanted = Wanted(**asked, keep=options["keep"])
        if options["quick"]:
            small: dict[str, Any] = {"report_rounds": 2, "trip_seconds": 10, "trip_rounds": 1}
            small |= {"sightings": 20_000, "fleet_rounds": 2}
            wanted = Wanted(hulls=60, entries=4_000, rounds=4, **small)
        try:
            run(wanted, settings.VAR / "bench", self._tell)
        except (RuntimeError, ValueError) as problem:
            raise CommandError(str(problem)) from problem

    def _tell(self, sentence: str) -> None:
        self.stdout.write(sentence)
        self.stdout.flush()
