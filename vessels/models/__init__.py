"""Tables of customers, vessels and the vessel log."""

from vessels.models.anchors import LogAnchor
from vessels.models.customers import Customer, CustomerEmail, CustomerPhone, CustomerSpelling
from vessels.models.entries import (
    Detail,
    DetailsChange,
    HourReading,
    LogEntry,
    MeterReplacement,
    OwnerChange,
    UnitFitting,
    UnitIdentification,
)
from vessels.models.hulls import ControlUnit, Engine, EngineFamily, HourMeter, Ownership, Vessel, VesselSpelling

__all__ = [
    "ControlUnit",
    "Customer",
    "CustomerEmail",
    "CustomerPhone",
    "CustomerSpelling",
    "Detail",
    "DetailsChange",
    "Engine",
    "EngineFamily",
    "HourMeter",
    "HourReading",
    "LogAnchor",
    "LogEntry",
    "MeterReplacement",
    "OwnerChange",
    "Ownership",
    "UnitFitting",
    "UnitIdentification",
    "Vessel",
    "VesselSpelling",
]
