"""What else happens to an engine or a boat, an app of its own inside findings."""

from django.apps import AppConfig


class HappeningsConfig(AppConfig):
    """Set-up of what else happens."""

    name = "findings.happenings"
    label = "happenings"

    def ready(self) -> None:
        """Make the kinds of log entry known."""
        from findings.happenings.kinds import register_kinds

        register_kinds()
