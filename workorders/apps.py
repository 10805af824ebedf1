"""The workorders app."""

from django.apps import AppConfig


class WorkordersConfig(AppConfig):
    """Set-up of the workorders app."""

    name = "workorders"
