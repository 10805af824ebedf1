"""The shopfloor app."""

from django.apps import AppConfig


class ShopfloorConfig(AppConfig):
    """Set-up of the shopfloor app."""

    name = "shopfloor"

    def ready(self) -> None:
        """Register the checks of the settings."""
        from shopfloor.checks import register_checks

        register_checks()
