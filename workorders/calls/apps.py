"""Calls, an app of its own inside jobs."""

from django.apps import AppConfig


class CallsConfig(AppConfig):
    """Set-up of calls."""

    name = "workorders.calls"
    label = "calls"

    def ready(self) -> None:
        """Make known what of this floor is to be called about."""
        from workorders.calls.reasons import register_reasons

        register_reasons()
