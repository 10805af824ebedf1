"""What people do with readings, spec cards and saved sheets."""

from findings.readings.actions.cards import CardRows, NewLimit, add_card, change_card, revise_limits
from findings.readings.actions.measuring import add_parameter, is_unchanged_value, log_reading

__all__ = [
    "CardRows",
    "NewLimit",
    "add_card",
    "add_parameter",
    "change_card",
    "is_unchanged_value",
    "log_reading",
    "revise_limits",
]
