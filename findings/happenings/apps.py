"""What else happens to an engine or a boat, an app of its own inside findings."""

from django.apps import AppConfig


class HappeningsConfig(AppConfig):
    """Set-up of what else happens."""

    name = "findings.happenings"
    label = "happenings"

    def ready(self) -> None:
        """Make the kinds of log entry known, and what of them stands on a boat’s overview."""
        from findings.happenings.kinds import register_kinds
        from findings.happenings.standing import standing_section
        from vessels import sections

        register_kinds()
        sections.register("findings/happenings/on_vessel.html", standing_section, 12)
