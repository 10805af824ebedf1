"""Appointments, an app of its own inside jobs."""

from django.apps import AppConfig


class AppointmentsConfig(AppConfig):
    """Set-up of appointments."""

    name = "workorders.appointments"
    label = "appointments"

    def ready(self) -> None:
        """Make known what appointments show on pages of boats and jobs, and what a job may be opened from."""
        from workorders.appointments.setup import set_up

        set_up()
