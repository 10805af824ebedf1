"""4 to 20 mA current loops with the fault bands of NAMUR NE 43."""

from collections.abc import Callable
from dataclasses import dataclass

from engineering.amounts import require_not_negative
from engineering.sensors.bands import VALID, Band, TransducerReading
from engineering.sensors.ratiometric import require_range, span_of

LOWEST_MA, HIGHEST_MA = 4.0, 20.0
FAILURE_LOW_MA, VALID_LOW_MA = 3.6, 3.8
VALID_HIGH_MA, FAILURE_HIGH_MA = 20.5, 21.0
_DEAD_MA = 0.05


@dataclass(frozen=True, slots=True)
class CurrentLoop:
    """A transmitter from ``low_value`` at 4 mA to ``high_value`` at 20 mA, in any one unit.

    Low above high is a transmitter that acts in reverse. Raises :class:`AmountProblem` for a range without width.
    """

    low_value: float
    high_value: float

    def __post_init__(self) -> None:
        """Refuse a range that has no width."""
        require_range("low_value", self.low_value, "high_value", self.high_value)

    def read(self, current_ma: float) -> TransducerReading:
        """The value that a current in mA stands for: low + (I − 4)/16·(high − low).

        NE 43: 3.8 to 20.5 mA is a measurement, at most 3.6 or at least 21.0 mA a failure. What lies between is
        neither, so no value is given for it. Raises :class:`AmountProblem` where the current is no measurement.
        Source: NAMUR NE 43 as summarized in four independent articles, some of which count 3.6 to 4.0 mA as
        under-range.
        """
        require_not_negative("current_ma", current_ma, "The current")
        span = (current_ma - LOWEST_MA) / (HIGHEST_MA - LOWEST_MA)
        band = band_of(current_ma)
        value = self.low_value + span * (self.high_value - self.low_value)
        sentence = _DEAD if current_ma < _DEAD_MA else _SENTENCES[band]
        return TransducerReading(value if band in VALID else None, span, band, sentence)

    def current_ma(self, value: float) -> float:
        """The current in mA to expect at a value of the range; raises :class:`AmountProblem` outside of the range."""
        return LOWEST_MA + span_of(value, self.low_value, self.high_value) * (HIGHEST_MA - LOWEST_MA)


def band_of(current_ma: float) -> Band:
    """The band of NE 43 that a current in mA lies in; the limits belong to the failure and to the valid bands."""
    return next((band for inside, band in _UP_THE_SCALE if inside(current_ma)), Band.FAULT_HIGH)


_UP_THE_SCALE: tuple[tuple[Callable[[float], bool], Band], ...] = (
    (lambda current: current <= FAILURE_LOW_MA, Band.FAULT_LOW),
    (lambda current: current < VALID_LOW_MA, Band.DOUBTFUL_LOW),
    (lambda current: current < LOWEST_MA, Band.BELOW_RANGE),
    (lambda current: current <= HIGHEST_MA, Band.IN_RANGE),
    (lambda current: current <= VALID_HIGH_MA, Band.ABOVE_RANGE),
    (lambda current: current < FAILURE_HIGH_MA, Band.DOUBTFUL_HIGH),
)
_DEAD = "No current: the loop is open, its supply is missing, or the leads are the wrong way around."
_SENTENCES = {
    Band.FAULT_LOW: "A failure signal (3.6 mA or less): transmitter failed, sensing element open, or loop starved.",
    Band.DOUBTFUL_LOW: "Between failure (3.6 mA) and measurement (3.8 mA): no value. Some call it under-range.",
    Band.BELOW_RANGE: "Under-range (3.8 to 4 mA): a measurement a little below the range.",
    Band.IN_RANGE: "In range.",
    Band.ABOVE_RANGE: "Over-range (20 to 20.5 mA): a measurement a little above the range.",
    Band.DOUBTFUL_HIGH: "Between measurement (20.5 mA) and failure (21 mA): no value. Some call it over-range.",
    Band.FAULT_HIGH: "A failure signal (21 mA or more): transmitter failed, sensing element open, or loop shorted.",
}
