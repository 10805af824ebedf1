"""Tables of scans, faults, readings, spec cards and CAN logs."""

from findings.models.canlogs import CanLog
from findings.models.faults import Clear, ClearedFault, Episode, Fault, Scan, Sighting, WorkDone, WorkOnFault
from findings.models.instruments import Calibration, Instrument, MadeWith
from findings.models.readings import Parameter, Reading, SpecCard, SpecLimit

__all__ = [
    "Calibration",
    "CanLog",
    "Clear",
    "ClearedFault",
    "Episode",
    "Fault",
    "Instrument",
    "MadeWith",
    "Parameter",
    "Reading",
    "Scan",
    "Sighting",
    "SpecCard",
    "SpecLimit",
    "WorkDone",
    "WorkOnFault",
]
