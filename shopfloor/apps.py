"""The shopfloor app."""

from django.apps import AppConfig


class ShopfloorConfig(AppConfig):
    """Set-up of the shopfloor app."""

    name = "shopfloor"

    def ready(self) -> None:
        """Register the checks of the settings, the backup as work for a worker, and what floors below ask for."""
        from commands import background
        from shopfloor.checks import register_checks
        from shopfloor.reminding import register_deferred_work
        from shopfloor.service_kits import register_service_kits
        from shopfloor.tasks import BACKUP
        from shopfloor.today.call_reasons import register_reasons

        register_checks()
        register_reasons()
        register_deferred_work()
        register_service_kits()
        background.register(BACKUP)
