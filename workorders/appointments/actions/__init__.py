"""Everything that a person does with appointments and bays."""

from workorders.appointments.actions.bays import add_bay, change_bay, end_bay
from workorders.appointments.actions.planning import change_appointment, plan_appointment
from workorders.appointments.actions.settling import keep_with_job, settle_appointment

__all__ = [
    "add_bay",
    "change_appointment",
    "change_bay",
    "end_bay",
    "keep_with_job",
    "plan_appointment",
    "settle_appointment",
]
