"""What readings add to the rest of the house: a kind of log entry, a tab, the usual parameters."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.db.models.signals import post_migrate

from findings.readings import log_details
from findings.readings.parameters import seed_parameters
from findings.readings.results import RESULT
from vessels import tabs
from vessels.log.registry import LogKind, register

if TYPE_CHECKING:
    from django.apps import AppConfig


def set_up(app: AppConfig) -> None:
    """Called once from the app's ``ready``."""
    register(
        LogKind(
            "reading",
            "Reading",
            icon="reading",
            model="readings.Reading",
            facts=log_details.READING,
            draw=log_details.reading,
            hours_from=log_details.read_from,
            evidence=True,
            aboard=True,
        ),
        # Of no one parameter, so that it has words and no value: a wire size, whether something comes more often.
        LogKind(RESULT, "Result", icon="reading", evidence=True),
    )
    tabs.register(tabs.Tab("Readings", "findings:vessel_readings", 40))
    post_migrate.connect(seed_parameters, sender=app, dispatch_uid="seed_parameters")
