"""The register of instruments, an app of its own inside findings."""

from django.apps import AppConfig


class InstrumentsConfig(AppConfig):
    """Set-up of the register."""

    name = "findings.instruments"
    label = "instruments"
