"""The findings app."""

from django.apps import AppConfig


class FindingsConfig(AppConfig):
    """Set-up of the findings app."""

    name = "findings"

    def ready(self) -> None:
        """Make kinds and tabs known, and listen for amendments and for a new hold."""
        from findings.bench.setup import set_up as set_up_bench
        from findings.faults.setup import set_up as set_up_faults
        from findings.readings.setup import set_up as set_up_readings

        set_up_faults()
        set_up_readings(self)
        set_up_bench()
