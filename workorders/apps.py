"""The workorders app."""

from django.apps import AppConfig


class WorkordersConfig(AppConfig):
    """Set-up of the workorders app."""

    name = "workorders"

    def ready(self) -> None:
        """Make the kinds of log entry known."""
        from workorders.kinds import register_kinds

        register_kinds()
