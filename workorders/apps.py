"""The workorders app."""

from django.apps import AppConfig


class WorkordersConfig(AppConfig):
    """Set-up of the workorders app."""

    name = "workorders"

    def ready(self) -> None:
        """Make the kinds of log entry known, the tabs, and what is offered on a vessel's pages."""
        from workorders.kinds import register_kinds
        from workorders.tabs import register_tabs

        register_kinds()
        register_tabs()
