"""Scans, faults, clears and work, an app of its own inside findings."""

from django.apps import AppConfig


class FaultsConfig(AppConfig):
    """Set-up of faults."""

    name = "findings.faults"
    label = "faults"

    def ready(self) -> None:
        """Make kinds, tabs and background work known, and listen for amendments and for a new hold."""
        from commands import background
        from findings.faults.holding import REDERIVE
        from findings.faults.setup import set_up

        set_up()
        background.register(REDERIVE)
