"""The staff app."""

from django.apps import AppConfig


class StaffConfig(AppConfig):
    """Set-up of the staff app."""

    name = "staff"

    def ready(self) -> None:
        """Let forms speak the house's words."""
        from staff.sentences import speak_plainly

        speak_plainly()
