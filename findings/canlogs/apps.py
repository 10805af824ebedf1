"""CAN logs, an app of its own inside findings."""

from django.apps import AppConfig


class CanLogsConfig(AppConfig):
    """Set-up of CAN logs."""

    name = "findings.canlogs"
    label = "canlogs"

    def ready(self) -> None:
        """Make the kept files and the background work known."""
        from commands import background
        from files import references
        from findings.canlogs.storage import kept_logs
        from findings.canlogs.tasks import READ_CAN_LOG

        references.register("CAN logs", kept_logs)
        background.register(READ_CAN_LOG)
