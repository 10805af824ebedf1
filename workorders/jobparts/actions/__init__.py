"""Everything that a person does with parts on a job."""

from workorders.jobparts.actions.charging import charge_fitted, match_charge
from workorders.jobparts.actions.fitting import fit_part
from workorders.jobparts.actions.waiting import (
    await_part,
    cancel_awaited,
    change_awaited,
    part_arrived,
    void_arrival,
)

__all__ = [
    "await_part",
    "cancel_awaited",
    "change_awaited",
    "charge_fitted",
    "fit_part",
    "match_charge",
    "part_arrived",
    "void_arrival",
]
