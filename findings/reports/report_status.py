"""What became of issued reports, in words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from findings.reports.models import IssuedReport, ReportWithdrawal
from findings.reports.queries import issued_reports
from workorders.models import Job


@dataclass(frozen=True)
class ReportStatus:
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


def status_of(report: IssuedReport) -> ReportStatus:
    """What became of one report; read it through ``issued_reports`` to keep this free of queries."""
    return ReportStatus(report, getattr(report, "withdrawal", None), getattr(report, "superseded_by", None))


def statuses_of(job: Job) -> Sequence[ReportStatus]:
    """The reports of a job, newest first."""
    return [status_of(report) for report in issued_reports(job)]
