"""The findings app."""

from django.apps import AppConfig


class FindingsConfig(AppConfig):
    """Set-up of the findings app."""

    name = "findings"

    def ready(self) -> None:
        """Make kinds and tabs known, and listen for amendments and for a new hold."""
        from commands import background
        from files import references
        from findings.bench.setup import set_up as set_up_bench
        from findings.canlogs.storage import kept_logs
        from findings.canlogs.tasks import READ_CAN_LOG
        from findings.faults.holding import REDERIVE
        from findings.faults.setup import set_up as set_up_faults
        from findings.readings.setup import set_up as set_up_readings

        set_up_faults()
        set_up_readings(self)
        set_up_bench()
        references.register("CAN logs", kept_logs)
        background.register(READ_CAN_LOG)
        background.register(REDERIVE)
