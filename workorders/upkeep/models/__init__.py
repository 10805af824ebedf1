"""Service plans and what was done by them, lay-ups, and reminders."""

from workorders.upkeep.models.judging import Judgment, StaleMark
from workorders.upkeep.models.laying_up import LayUp
from workorders.upkeep.models.plans import (
    MOST_HOURS,
    MOST_MONTHS,
    Adoption,
    Basis,
    Interval,
    PlannedLine,
    PlanVersion,
    ServiceDone,
    ServiceOf,
    ServicePlan,
    Source,
    interval_words,
)
from workorders.upkeep.models.reminding import Reminder, ReminderLetter, ReminderWish

__all__ = [
    "MOST_HOURS",
    "MOST_MONTHS",
    "Adoption",
    "Basis",
    "Interval",
    "Judgment",
    "LayUp",
    "PlanVersion",
    "PlannedLine",
    "Reminder",
    "ReminderLetter",
    "ReminderWish",
    "ServiceDone",
    "ServiceOf",
    "ServicePlan",
    "Source",
    "StaleMark",
    "interval_words",
]
