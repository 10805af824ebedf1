"""Write the stored PDF of an issued report to a file."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from commands.refusals import Refused
from findings.reports.models import IssuedReport
from findings.reports.numbers import tidy_number
from findings.reports.storage import stored_pdf


class Command(BaseCommand):
    """Write one report to a file."""

    help = "Write the PDF of an issued condition report, exactly as it was signed, to a file."

    def add_arguments(self, parser: CommandParser) -> None:
        """Which report, and where to."""
        parser.add_argument("number", help="the report's number, such as 1032-1")
        parser.add_argument("--out", required=True, type=Path, help="the file to write")

    def handle(self, *_: Any, number: str, out: Path, **__: Any) -> None:
        """Check the stored file against its digest and write it."""
        report = IssuedReport.objects.filter(number=tidy_number(number)).first()
        if report is None:
            raise CommandError(f"There is no report {number}.")
        try:
            data = stored_pdf(report)
            out.write_bytes(data)
        except Refused as refusal:
            raise CommandError(refusal.sentence) from refusal
        except OSError as problem:
            raise CommandError(f"{out} cannot be written: {problem.strerror}.") from problem
        self.stdout.write(f"{out}: report {report.number}, {len(data)} bytes, SHA-256 {report.pdf_sha256}")
