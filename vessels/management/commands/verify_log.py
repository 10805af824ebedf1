"""``manage.py verify_log``: walk every vessel's chain, and hold all of them against what is kept outside."""

from __future__ import annotations

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from commands import journal
from files.checking import damages_by_digest
from vessels.log.orphans import orphan_details
from vessels.log.verify import broken_link
from vessels.log.verify_anchors import (
    Outside,
    anchor_problems,
    before_the_journal,
    not_yet_anchored,
    outside_problems,
    read_outside,
)
from vessels.models import LogAnchor, Vessel

COVERED = (
    "Covered: every entry of the log with its details (scans, clears, readings, work, hours, owners' changes, fitted "
    "units, issued reports), in their order, every stored file by its digest, and the journal of what was done: who, "
    "when, on what, with a digest of what was said. The heads of both are in every anchor."
)
NOT_COVERED = (
    "Not covered, because these may be changed and no digest of the log holds them: jobs with their lines and charges, "
    "hours of labor, estimates, invoices and payments, customers with their names and phones, calls, appointments, "
    "people and the shop's own settings, what is written of a boat, an engine or a unit today (each change of it is in "
    "the log), hour meters as they were fitted (what they showed is in the log), the names of parameters, spec cards "
    "and their limits, instruments and their calibrations, service plans and reminders, the parts catalog, what was "
    "understood of a CAN log (the log itself is covered), drafts of reports. What is derived from the log, such as the "
    "state of a fault, is held against it by manage.py rebuild_faults --check."
)
ALONE = (
    "Without --against, somebody with full access to the database could have put another log in place of this one. "
    "Compare it with a backup, the file of ANCHOR_FILE, or the head that is printed on a report."
)


class Command(BaseCommand):
    """Prove that the vessel log is what was written."""

    help = "Walks the digests of every vessel's log and names the first broken link of each; says what is not covered."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take vessel numbers, or none for all, and what is kept outside."""
        parser.add_argument("vessel", nargs="*", type=int, help="numbers of vessels; all when left out")
        parser.add_argument(
            "--against",
            action="append",
            default=[],
            type=Path,
            metavar="FILE",
            help="a file of anchors (ANCHOR_FILE), or the description beside a backup; may be given again",
        )
        parser.add_argument(
            "--head",
            nargs=2,
            action="append",
            default=[],
            metavar=("NUMBER", "HEAD"),
            help="a head printed on a report",
        )

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
        problems = list(orphan_details(options["vessel"]))
        problems += [] if options["vessel"] else self._problems(options["against"], options["head"])
        for problem in problems:
            self.stdout.write(f"WRONG {problem}")
        self._say_what_is_covered(options)
        if broken:
            raise CommandError(f"The log of {broken} vessel(s) is not what was written.")
        if problems:
            raise CommandError(f"{len(problems)} thing(s) are not what was written.")
        self.stdout.write(f"{vessels.count()} vessels, {entries} entries: every digest agrees.")

    def _problems(self, against: list[Path], heads: list[list[str]]) -> list[str]:
        problems = list(anchor_problems())
        for path in against:
            try:
                problems += outside_problems(read_outside(path), path.name)
            except OSError as problem:
                raise CommandError(f"{path} can't be read: {problem.strerror}.") from problem
        for number, head in heads:
            if not number.isdecimal():
                raise CommandError("--head takes the number of the head and then the head, as the report prints them.")
            problems += outside_problems(Outside([], {int(number): head.lower()}, []), "the head from the report")
        problems += journal.problems()
        return [*problems, *(damage.sentence for damage in damages_by_digest())]

    def _say_what_is_covered(self, options: dict[str, Any]) -> None:
        if options["vessel"]:
            self.stdout.write("Only these vessels were walked; anchors and files were not looked at.")
            return
        self.stdout.write(COVERED)
        self.stdout.write(NOT_COVERED)
        if late := not_yet_anchored():
            entries = "1 entry is" if late == 1 else f"{late} entries are"
            self.stdout.write(f"{entries} newer than the last anchor: no head outside can speak for that yet.")
        if acts := journal.count_unchained():
            said = "1 act of the journal is" if acts == 1 else f"{acts} acts of the journal are"
            self.stdout.write(f"{said} from before there were chains: no digest holds them.")
        if acts := journal.not_yet_pinned():
            said = "1 act of the journal is" if acts == 1 else f"{acts} acts of the journal are"
            self.stdout.write(f"{said} newer than the last anchor that covers its chain.")
        if last := before_the_journal(LogAnchor.objects.filter(journal__isnull=True).only("number", "journal")):
            self.stdout.write(
                f"Anchors up to {last} are from before the journal was anchored: they speak of the log alone."
            )
        for path in options["against"]:
            if last := before_the_journal(read_outside(path).anchors):
                self.stdout.write(f"In {path.name} the anchors up to {last} say nothing of the journal.")
        if not options["against"] and not options["head"]:
            self.stdout.write(ALONE)
