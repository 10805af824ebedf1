"""The commands app."""

from django.apps import AppConfig


class CommandsConfig(AppConfig):
    """Set-up of the commands app."""

    name = "commands"
    verbose_name = "commands"
