"""The workorders app."""

from django.apps import AppConfig


class WorkordersConfig(AppConfig):
    """Set-up of the workorders app."""

    name = "workorders"

    def ready(self) -> None:
        """Make the kinds of log entry known, the tabs, what is offered on a vessel's pages, and a part's use."""
        from vessels.log.registry import register_jobs
        from workorders.kinds import register_kinds
        from workorders.part_use import register_part_use
        from workorders.tabs import register_tabs

        register_jobs("SELECT id, number, vessel_id FROM workorders_job")
        register_kinds()
        register_tabs()
        register_part_use()
