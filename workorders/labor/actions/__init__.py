"""Everything that a person does with hours of work."""

from workorders.labor.actions.charging import charge_hours
from workorders.labor.actions.clocks import (
    answer_clock,
    pause_clock,
    start_clock,
    start_clock_since,
    stop_clock,
    take_over,
)
from workorders.labor.actions.noting import correct_hours, note_hours, void_hours

__all__ = [
    "answer_clock",
    "charge_hours",
    "correct_hours",
    "note_hours",
    "pause_clock",
    "start_clock",
    "start_clock_since",
    "stop_clock",
    "take_over",
    "void_hours",
]
