"""The condition report, an app of its own inside findings."""

from django.apps import AppConfig


class ReportsConfig(AppConfig):
    """Set-up of the condition report."""

    name = "findings.reports"
    label = "reports"
