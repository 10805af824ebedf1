"""One judgment on one value: what the sentence, the verdict, the strip and the log all say.

A value that was typed is judged as typed. One that was worked out is rounded once, to the figures it is worth, and to
more of them where fewer would contradict its limits: 14.804 V against 14.8 V is never "14.8 V, too high".
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_UP, Context, Decimal

from engineering.amounts import RangePosition
from engineering.canonical import plain_decimal
from engineering.limits import Limits, LimitsProblem, Verdict, judge
from engineering.measures import Measure, convert, show
from findings.bench.outcome import Band
from findings.readings.judging import Comparison
from findings.readings.queries import band_words

MOST_DECIMALS = 4
"""What the log keeps of a value."""
_WITHOUT_NOISE = Context(prec=12, rounding=ROUND_HALF_UP)


@dataclass(frozen=True)
class Judged:
    """A value as it is shown and kept, with what its limits say. ``standing`` is None where there are none."""

    measure: Measure
    comparison: Comparison
    standing: RangePosition | None

    @property
    def shown(self) -> str:
        """The value with its unit, with as many figures as its verdict needs."""
        return show(self.measure.value, self.measure.unit)

    @property
    def verdict(self) -> Verdict:
        """What the limits say."""
        return self.comparison.judgment.verdict

    @property
    def is_out(self) -> bool:
        """Whether the value is beyond a limit."""
        return self.standing in (RangePosition.BELOW, RangePosition.ABOVE)

    @property
    def band(self) -> str:
        """The limits in words, exactly as they were judged by: "13.8 to 14.8 V"."""
        return band_words(self.comparison.limits.low, self.comparison.limits.high, self.measure.unit)

    @property
    def low(self) -> str:
        """The lower limit in words; empty where there is none."""
        return self._end(self.comparison.limits.low)

    @property
    def high(self) -> str:
        """The upper limit in words; empty where there is none."""
        return self._end(self.comparison.limits.high)

    @property
    def off(self) -> str:
        """How far outside its limits the value is, in words."""
        return self._end(self.comparison.judgment.distance)

    def _end(self, value: Decimal | None) -> str:
        return "" if value is None else show(value, self.measure.unit)


def judged(roundings: Iterable[Decimal], unit: str, band: Band | None) -> Judged:
    """Judge a value, in ``unit``, by a band.

    ``roundings`` are the value rounded to more and more figures, the last of them as exact as the log keeps it.
    """
    known = [as_kept(Measure(one, unit)) for one in roundings]
    if band is None:
        return Judged(known[0], Comparison(Limits(), None, "", judge(known[0].value, Limits(), unit=unit)), None)
    limits = limits_of(band, unit)
    exact = _standing(known[-1].value, limits)
    measure = next(one for one in known if _standing(one.value, limits) is exact)
    near = Decimal(str(band.near_percent))
    judgment = judge(measure.value, limits, unit=unit)
    return Judged(measure, Comparison(limits, near, band.source_in(unit), judgment, band.judged_by), exact)


def as_kept(measure: Measure) -> Measure:
    """A value no finer than the log keeps it, so that the page shows what is logged."""
    step = Decimal(1).scaleb(-MOST_DECIMALS)
    if measure.value == measure.value.to_integral_value():
        return measure
    return Measure(Decimal(plain_decimal(measure.value.quantize(step, rounding=ROUND_HALF_UP))), measure.unit)


def _standing(value: Decimal, limits: Limits) -> RangePosition:
    if limits.low is not None and value < limits.low:
        return RangePosition.BELOW
    return RangePosition.ABOVE if limits.high is not None and value > limits.high else RangePosition.WITHIN


def limits_of(band: Band, unit: str) -> Limits:
    """A band in the unit of what it judges, with the decimals that the log keeps."""

    def there(value: float | None) -> Decimal | None:
        """A limit without what converting to and fro added: 1.5 psi stays 1.5, not 1.49999."""
        if value is None or not math.isfinite(value):
            return None
        return Decimal(plain_decimal(_WITHOUT_NOISE.plus(convert(Decimal(repr(value)), band.unit, unit))))

    low, high, nominal = there(band.low), there(band.high), there(band.nominal)
    try:
        limits = Limits(low, high, nominal, Decimal(str(band.near_percent)) / 100)
    except LimitsProblem:
        limits = Limits(low, high)
    return _kept(limits)


def _kept(limits: Limits) -> Limits:
    """The limits with the decimals that the log keeps, a longer one rounded so that it refuses no less."""

    def kept(value: Decimal | None, toward: str) -> Decimal | None:
        if value is None or -int(value.as_tuple().exponent) <= MOST_DECIMALS:
            return value
        return Decimal(plain_decimal(value.quantize(Decimal(1).scaleb(-MOST_DECIMALS), rounding=toward)))

    low, high = kept(limits.low, ROUND_CEILING), kept(limits.high, ROUND_FLOOR)
    if low is not None and high is not None and low > high:
        low, high = kept(limits.low, ROUND_HALF_UP), kept(limits.high, ROUND_HALF_UP)
    nominal = kept(limits.nominal, ROUND_HALF_UP)
    if nominal is not None:
        nominal = max(nominal, low) if low is not None else nominal
        nominal = min(nominal, high) if high is not None else nominal
    return Limits(low, high, nominal, limits.near_fraction)
