"""The staff app."""

from django.apps import AppConfig


class StaffConfig(AppConfig):
    """Set-up of the staff app."""

    name = "staff"
