"""Say whether a file is a report of this shop, to the last byte."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from findings.reports.verdicts import verdict_of
from findings.reports.verifying import MOST_BYTES, CheckResult, check_file


class Command(BaseCommand):
    """Check one file."""

    help = (
        "Check a PDF file against the reports that were issued here; it fails unless the file is one of them and valid."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        """Which file."""
        parser.add_argument("file", type=Path, help="the PDF file")

    def handle(self, *_: Any, file: Path, **__: Any) -> None:
        """Compare the file's digest; one appended byte or a changed title is another file."""
        try:
            with file.open("rb") as source:
                data = source.read(MOST_BYTES + 1)
        except OSError as problem:
            raise CommandError(f"{file} cannot be read: {problem.strerror}.") from problem
        if len(data) > MOST_BYTES:
            raise CommandError(
                f"{file} is larger than {MOST_BYTES // 2**20} MB, and none of our reports is that large."
            )
        check = check_file(data)
        verdict = verdict_of(check)
        said = f"{verdict.heading}. {verdict.sentence}"
        if check.result is not CheckResult.AUTHENTIC:
            raise CommandError(said)
        self.stdout.write(said)
        for sentence in verdict.since:
            self.stdout.write(sentence)
        for label, value in verdict.facts:
            self.stdout.write(f"{label}: {value}")
