"""The condition report, an app of its own inside findings."""

from django.apps import AppConfig


class ReportsConfig(AppConfig):
    """Set-up of the condition report."""

    name = "findings.reports"
    label = "reports"

    def ready(self) -> None:
        """Make the kinds of log entry and the job's tab known."""
        from commands import background
        from files import references
        from findings.reports.storage import kept_reports
        from findings.reports.tasks import ISSUE_REPORT
        from vessels.log.registry import LogKind, register
        from workorders import tabs

        register(
            LogKind(
                "report-issued",
                "Condition report issued",
                icon="report",
                model="reports.IssuedReport",
                template="findings/reports/log/issued.html",
                select=("supersedes", "superseded_by", "withdrawal"),
            ),
            LogKind(
                "report-withdrawn",
                "Condition report withdrawn",
                icon="ban",
                model="reports.ReportWithdrawal",
                template="findings/reports/log/withdrawn.html",
                select=("report",),
            ),
        )
        references.register("signed reports", kept_reports)
        background.register(ISSUE_REPORT)
        tabs.register(tabs.Tab("Report", "reports:job", position=40))
