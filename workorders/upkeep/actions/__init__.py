"""Everything that a person does about service due."""

from workorders.upkeep.actions.adopting import adopt_plans, change_adoption, end_adoption
from workorders.upkeep.actions.doing import log_service
from workorders.upkeep.actions.laying_up import change_lay_up, lay_up, strike_lay_up
from workorders.upkeep.actions.planning import add_plan, change_plan, end_plan
from workorders.upkeep.actions.reminding import note_reminder, note_reminder_wish
from workorders.upkeep.actions.taking import plan_line
from workorders.upkeep.actions.writing import discard_letter, draw_letter_again, note_letters_sent, write_letters

__all__ = [
    "add_plan",
    "adopt_plans",
    "change_adoption",
    "change_lay_up",
    "change_plan",
    "discard_letter",
    "draw_letter_again",
    "end_adoption",
    "end_plan",
    "lay_up",
    "log_service",
    "note_letters_sent",
    "note_reminder",
    "note_reminder_wish",
    "plan_line",
    "strike_lay_up",
    "write_letters",
]
