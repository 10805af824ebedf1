"""The bands a transducer's signal can be in, and what reading it gives."""

from dataclasses import dataclass
from enum import StrEnum


class Band(StrEnum):
    """Where a signal lies, from the lowest to the highest."""

    FAULT_LOW = "fault, low"
    DOUBTFUL_LOW = "doubtful, low"
    BELOW_RANGE = "below the range"
    IN_RANGE = "in range"
    ABOVE_RANGE = "above the range"
    DOUBTFUL_HIGH = "doubtful, high"
    FAULT_HIGH = "fault, high"


VALID = frozenset({Band.BELOW_RANGE, Band.IN_RANGE, Band.ABOVE_RANGE})
"""Bands in which the signal still stands for a value."""


@dataclass(frozen=True, slots=True)
class TransducerReading:
    """``value`` in the unit of the transducer's range, or None where the signal stands for no value.

    ``span_fraction`` is 0 at the bottom of the range and 1 at its top, whatever the band.
    """

    value: float | None
    span_fraction: float
    band: Band
    sentence: str
