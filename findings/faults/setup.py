"""What faults add to the rest of the house: kinds of log entry, and an ear for amendments and for a new hold."""

from __future__ import annotations

from findings.faults.holding import listen_for_a_new_hold
from findings.faults.replaying import hear_amendment
from findings.kinds import register_kinds
from vessels.log.registry import on_amended


def set_up() -> None:
    """Called once from the app's ``ready``."""
    register_kinds()
    on_amended(hear_amendment)
    listen_for_a_new_hold()
