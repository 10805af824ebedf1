"""The Bench, an app of its own inside findings."""

from django.apps import AppConfig


class BenchConfig(AppConfig):
    """Set-up of the Bench."""

    name = "findings.bench"
    label = "bench"

    def ready(self) -> None:
        """Make the job's tab known."""
        from findings.bench.setup import set_up

        set_up()
