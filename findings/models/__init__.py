"""Tables of scans, faults, readings and spec cards."""

from findings.models.faults import Clear, ClearedFault, Episode, Fault, Scan, Sighting, WorkDone, WorkOnFault
from findings.models.readings import Parameter, Reading, SpecCard, SpecLimit

__all__ = [
    "Clear",
    "ClearedFault",
    "Episode",
    "Fault",
    "Parameter",
    "Reading",
    "Scan",
    "Sighting",
    "SpecCard",
    "SpecLimit",
    "WorkDone",
    "WorkOnFault",
]
