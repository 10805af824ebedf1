"""The state of one fault, replayed from its evidence in order of happening."""

from engineering.faults.evidence import (
    Absent,
    Cleared,
    Episode,
    Evidence,
    FaultHistory,
    FaultState,
    Hold,
    Length,
    Seen,
    Worked,
    length_between,
)
from engineering.faults.growing import Rest
from engineering.faults.replay import go_on, replay, settle
from engineering.faults.wording import WITHIN_A_DAY, explain_state

__all__ = [
    "WITHIN_A_DAY",
    "Absent",
    "Cleared",
    "Episode",
    "Evidence",
    "FaultHistory",
    "FaultState",
    "Hold",
    "Length",
    "Rest",
    "Seen",
    "Worked",
    "explain_state",
    "go_on",
    "length_between",
    "replay",
    "settle",
]
