"""What faults add to the rest of the house: kinds of log entry, tabs, and an ear for amendments and a new hold."""

from __future__ import annotations

import vessels.sections
import vessels.tabs
import workorders.tabs
from findings.faults.holding import listen_for_a_new_hold, rederive_after_new_rules
from findings.faults.kinds import register_kinds
from findings.faults.queries import OPEN_FAULTS, open_faults_section
from findings.faults.replaying import listen_for_moves, rederive_after_amendment
from vessels.log.registry import on_amended


def set_up() -> None:
    """Called once from the app's ``ready``."""
    register_kinds()
    vessels.tabs.register(vessels.tabs.Tab("Faults", "findings:vessel_faults", 30, count=OPEN_FAULTS))
    workorders.tabs.register(workorders.tabs.Tab("Findings", "findings:job", 20))
    vessels.sections.register("findings/faults/parts/open_faults.html", open_faults_section, position=15)
    on_amended(rederive_after_amendment)
    listen_for_moves()
    listen_for_a_new_hold()
    rederive_after_new_rules()
