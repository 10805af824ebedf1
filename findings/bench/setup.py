"""What the Bench adds to the rest of the house: a tab of the job."""

from __future__ import annotations

from workorders.tabs import Tab, register


def set_up() -> None:
    """Called once from the app's ``ready``."""
    register(Tab("Bench", "findings:bench", 25))
