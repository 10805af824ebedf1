"""Readings and spec cards, an app of its own inside findings."""

from django.apps import AppConfig


class ReadingsConfig(AppConfig):
    """Set-up of readings."""

    name = "findings.readings"
    label = "readings"

    def ready(self) -> None:
        """Make the kind of log entry, the tab and the usual parameters known."""
        from findings.readings.setup import set_up

        set_up(self)
