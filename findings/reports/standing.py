"""What became of issued reports, in words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from findings.reports.models import IssuedReport, ReportWithdrawal
from findings.reports.queries import issued_reports
from workorders.models import Job


@dataclass(frozen=True)
class StandingRow:
    """An issued report with what became of it."""

    report: IssuedReport
    withdrawal: ReportWithdrawal | None
    successor: IssuedReport | None

    @property
    def is_effective(self) -> bool:
        """Whether it counts."""
        return self.withdrawal is None and self.successor is None

    @property
    def word(self) -> str:
        """Its standing in one word."""
        if self.withdrawal:
            return "withdrawn"
        return f"superseded by {self.successor.number}" if self.successor else "issued"


def standing_of(report: IssuedReport) -> StandingRow:
    """What became of one report; read it through ``issued_reports`` to keep this free of queries."""
    return StandingRow(report, getattr(report, "withdrawal", None), getattr(report, "superseded_by", None))


def standing_rows(job: Job) -> Sequence[StandingRow]:
    """The reports of a job, newest first."""
    return [standing_of(report) for report in issued_reports(job)]
