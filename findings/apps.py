"""The findings app."""

from django.apps import AppConfig


class FindingsConfig(AppConfig):
    """Set-up of the findings app."""

    name = "findings"
