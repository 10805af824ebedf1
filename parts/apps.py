"""The parts app."""

from django.apps import AppConfig


class PartsConfig(AppConfig):
    """Set-up of the parts app."""

    name = "parts"
