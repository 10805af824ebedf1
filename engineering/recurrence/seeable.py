"""What size of trend so many events could have shown: what is not seen may be there all the same."""

from __future__ import annotations

from dataclasses import dataclass

from engineering.recurrence.distributions import chi_square_quantile


@dataclass(frozen=True, slots=True)
class Seeable:
    """The smallest trends that the MIL-HDBK-189 test shows 4 times in 5, as events of one half of the hours per other.

    ``more`` is for the second half against the first, ``less`` for the first against the second (no unit, above 1).
    """

    events: int
    more: float
    less: float

    @property
    def sentence(self) -> str:
        """The same for a person."""
        return (
            f"With {self.events} of them, a trend is seen 4 times in 5 only from {_times(self.more)} as many in the "
            f"second half of these hours as in the first, or {_times(self.less)} as many in the first as in the "
            "second; a smaller one is easily missed."
        )


def _times(ratio: float) -> str:
    return f"{ratio:.1f} times" if ratio < 10 else f"{ratio:,.0f} times"


def seeable_trend(events: int, *, p_value: float = 0.05, power: float = 0.8) -> Seeable:
    """What size of trend so many usable events could have shown, asked by two tests as ``weigh_together`` does.

    With a power law of shape β the statistic is a χ² of 2r degrees of freedom over β, so that the shape that is seen
    with this power is χ²(power)/χ²(p/4) for more often and χ²(1 − power)/χ²(1 − p/4) for less; of the events of such a
    law 2^β − 1 times as many are in the second half as in the first.
    Source: worked from the distribution of the test, NIST/SEMATECH e-Handbook 8.2.3.4.

    Raises:
        ValueError: no event, or a chance out of its range.
    """
    degrees = 2 * events
    more = chi_square_quantile(power, degrees) / chi_square_quantile(p_value / 4, degrees)
    less = chi_square_quantile(1 - power, degrees) / chi_square_quantile(1 - p_value / 4, degrees)
    return Seeable(events, 2**more - 1, 1 / (2**less - 1))
