"""The calendar, an app of its own inside jobs."""

from django.apps import AppConfig


class CalendarConfig(AppConfig):
    """Set-up of the calendar."""

    name = "workorders.calendar"
    label = "calendar"

    def ready(self) -> None:
        """Make the dates that jobs are promised for known. Other apps register their own."""
        from workorders.calendar import promises, sources

        sources.register(promises.SOURCE)
