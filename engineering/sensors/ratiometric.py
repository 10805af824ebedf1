"""Transducers whose signal is a share of their supply, such as 0.5 to 4.5 V of 5 V."""

from dataclasses import dataclass

from engineering.amounts import AmountProblem, require_not_negative, require_number, require_positive
from engineering.sensors.bands import VALID, Band, TransducerReading

_ROUNDING = 1e-12
"""A signal exactly on the edge of a band, less the rounding of its division, is still inside."""


@dataclass(frozen=True, slots=True)
class RatiometricTransducer:
    """A transducer from ``low_value`` at ``low_fraction`` of its supply to ``high_value`` at ``high_fraction``.

    The values are in any one unit; low above high is a transducer that acts in reverse. Outside of the range by more
    than ``fault_margin`` of the supply the signal is a fault: 0.05, so below 0.25 V and above 4.75 V of 5 V, is
    common practice without a source; take the maker's. Raises :class:`AmountProblem` for fractions out of order.
    """

    low_value: float
    high_value: float
    low_fraction: float = 0.1
    high_fraction: float = 0.9
    fault_margin: float = 0.05

    def __post_init__(self) -> None:
        """Refuse a range that has no width."""
        require_range("low_value", self.low_value, "high_value", self.high_value)
        for field, share in (("low_fraction", self.low_fraction), ("high_fraction", self.high_fraction)):
            require_number(field, share, "The share of the supply")
            if not 0 <= share <= 1:
                raise AmountProblem("The share of the supply must be from 0 to 100 %.", field=field)
        if self.low_fraction >= self.high_fraction:
            raise AmountProblem(
                "The signal must rise over the range. For a sensor that acts in reverse swap its two values.",
                field="high_fraction",
            )
        require_not_negative("fault_margin", self.fault_margin, "The margin before a fault")

    def read(self, signal_v: float, *, supply_v: float) -> TransducerReading:
        """The value that a signal stands for, by the supply measured at the same time; volts.

        value = low + (V/Vs − f_low)/(f_high − f_low)·(high − low). Raises :class:`AmountProblem` where a voltage is
        no measurement. Source: transducer makers' data sheets (ratiometric output, 10 to 90 % of the supply).
        """
        require_not_negative("signal_v", signal_v, "The signal voltage")
        require_positive("supply_v", supply_v, "The supply voltage")
        share = signal_v / supply_v
        span = (share - self.low_fraction) / (self.high_fraction - self.low_fraction)
        band = self._band(share)
        value = self.low_value + span * (self.high_value - self.low_value)
        return TransducerReading(value if band in VALID else None, span, band, _SENTENCES[band])

    def signal_v(self, value: float, *, supply_v: float) -> float:
        """The voltage to expect at a value of the range; raises :class:`AmountProblem` outside of the range."""
        require_positive("supply_v", supply_v, "The supply voltage")
        span = span_of(value, self.low_value, self.high_value)
        return supply_v * (self.low_fraction + span * (self.high_fraction - self.low_fraction))

    def _band(self, share: float) -> Band:
        if share < self.low_fraction - self.fault_margin - _ROUNDING:
            return Band.FAULT_LOW
        if share < self.low_fraction - _ROUNDING:
            return Band.BELOW_RANGE
        if share <= self.high_fraction + _ROUNDING:
            return Band.IN_RANGE
        if share <= self.high_fraction + self.fault_margin + _ROUNDING:
            return Band.ABOVE_RANGE
        return Band.FAULT_HIGH


def require_range(low_field: str, low_value: float, high_field: str, high_value: float) -> None:
    """Refuse the range of a transducer that has no width."""
    require_number(low_field, low_value, "The value at the lowest signal")
    require_number(high_field, high_value, "The value at the highest signal")
    if low_value == high_value:
        raise AmountProblem("The range has no width: its two values are the same.", field=high_field)


def span_of(value: float, low_value: float, high_value: float) -> float:
    """How far a value is up its range, 0 to 1; raises :class:`AmountProblem` outside of it."""
    require_number("value", value, "The value")
    least, most = sorted((low_value, high_value))
    if not least <= value <= most:
        raise AmountProblem("The value is outside of the transducer's range.", field="value")
    return (value - low_value) / (high_value - low_value)


_SENTENCES = {
    Band.FAULT_LOW: "Too low to stand for a value: look for an open signal wire, a short to ground, no supply.",
    Band.BELOW_RANGE: "A little below the range: at zero pressure or level, check what the sensor shows when vented.",
    Band.IN_RANGE: "In range.",
    Band.ABOVE_RANGE: "A little above the range: the value is past the sensor's top, or its ground has resistance.",
    Band.FAULT_HIGH: "Too high to stand for a value: look for a short to a supply or an open ground.",
}
