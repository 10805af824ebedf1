"""Service due, an app of its own inside jobs."""

from django.apps import AppConfig


class UpkeepConfig(AppConfig):
    """Set-up of service due."""

    name = "workorders.upkeep"
    label = "upkeep"

    def ready(self) -> None:
        """Make the kind of entry, the tab, the sections and what is offered when a boat comes in known."""
        from workorders.upkeep.setup import set_up

        set_up()
