"""What a CAN log of a trip says: readings, fault codes and status bits, in one pass and in constant memory.

``summarize`` reads a candump, ASC, BLF or TRC log; ``LogSummary`` is what comes out. Nothing heavy is loaded before a
log is read, so a web worker may import this.
"""

from engineering.canlog.stored import from_json, to_json
from engineering.canlog.summarizing import summarize
from engineering.canlog.summary import (
    Clock,
    CodeSpan,
    Damage,
    IncompleteSpan,
    LogProblem,
    LogSummary,
    NotUnderstood,
    ParameterSpan,
    Place,
    Progress,
    StatusSpan,
    UnitSpan,
)

__all__ = [
    "Clock",
    "CodeSpan",
    "Damage",
    "IncompleteSpan",
    "LogProblem",
    "LogSummary",
    "NotUnderstood",
    "ParameterSpan",
    "Place",
    "Progress",
    "StatusSpan",
    "UnitSpan",
    "from_json",
    "summarize",
    "to_json",
]
