"""The vessels app."""

from django.apps import AppConfig


class VesselsConfig(AppConfig):
    """Set-up of the vessels app."""

    name = "vessels"

    def ready(self) -> None:
        """Make the kinds of log entry known."""
        from vessels.kinds import register_kinds

        register_kinds()
