"""Everything that a person does with a job."""

from workorders.actions.charges import add_charge, change_job_discount, charge_again, return_core, strike_charge
from workorders.actions.intake import change_intake
from workorders.actions.lines import add_line, change_line
from workorders.actions.moving import OnJob, asks_why, move_job
from workorders.actions.opening import open_job
from workorders.actions.taking_in import take_in

__all__ = [
    "OnJob",
    "add_charge",
    "add_line",
    "asks_why",
    "change_intake",
    "change_job_discount",
    "change_line",
    "charge_again",
    "move_job",
    "open_job",
    "return_core",
    "strike_charge",
    "take_in",
]
