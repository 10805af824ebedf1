"""Jobs, their lines and charges, and the hours of work on them."""

from workorders.labor.models import Sold, Stretch, StretchEnd, StretchVoid
from workorders.models.jobs import (
    ENDED,
    FAR_DAY,
    FAR_MOMENT,
    STATES,
    Charge,
    Job,
    JobChange,
    JobLine,
    JobMove,
    JobNumber,
    MoveInTime,
)

__all__ = [
    "ENDED",
    "FAR_DAY",
    "FAR_MOMENT",
    "STATES",
    "Charge",
    "Job",
    "JobChange",
    "JobLine",
    "JobMove",
    "JobNumber",
    "MoveInTime",
    "Sold",
    "Stretch",
    "StretchEnd",
    "StretchVoid",
]
