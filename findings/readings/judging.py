"""What the limits say of a reading, with the extremes that the instrument kept."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from engineering.limits import Judgment, Limits, Verdict, convert_limits, judge
from engineering.measures import show
from findings.readings.models import Reading, SpecLimit
from web.sentences import within

_STORED_DECIMALS = 4
_WORST_LAST = [Verdict.NO_LIMITS, Verdict.IN_RANGE, Verdict.NEAR, Verdict.OUT]


@dataclass(frozen=True)
class Comparison:
    """Limits in the unit of the value, and what they say. ``limits`` is empty where nothing was known."""

    limits: Limits
    near_percent: Decimal | None
    source: str
    judgment: Judgment


def as_stored(value: Decimal) -> Decimal:
    """A value with the decimals that are kept: judged as it will stand, or the log would say another thing later."""
    return round(value, _STORED_DECIMALS) if -int(value.as_tuple().exponent) > _STORED_DECIMALS else value


def limits_in(limit: SpecLimit, unit: str) -> Limits:
    """A spec card's limits in another unit of the same kind, with the figures they deserve and can be stored with."""
    written = Limits(
        low=_plain(limit.low),
        high=_plain(limit.high),
        nominal=_plain(limit.nominal),
        near_fraction=limit.near_percent / 100,
    )
    return convert_limits(written, limit.unit, unit, most_decimals=_STORED_DECIMALS)


def _plain(value: Decimal | None) -> Decimal | None:
    """A stored value without the zeros that the database adds."""
    return None if value is None else value.normalize()


def compare(
    value: Decimal,
    unit: str,
    limit: SpecLimit | None,
    *,
    minimum: Decimal | None = None,
    maximum: Decimal | None = None,
) -> Comparison:
    """Judge a value, and its minimum and maximum where known; the worst of them is the verdict."""
    if limit is None:
        return Comparison(Limits(), None, "", judge(value, Limits(), unit=unit))
    limits = limits_in(limit, unit)
    source = f"{within(limit.card.title)}: {within(limit.card.document)}"
    return Comparison(limits, limit.near_percent, source, _worst(value, (minimum, maximum), limits, unit))


def _worst(value: Decimal, extremes: Sequence[Decimal | None], limits: Limits, unit: str) -> Judgment:
    """The value's judgment, unless an extreme was worse: then that one's, said as such."""
    chosen = judge(value, limits, unit=unit)
    for word, extreme in zip(("at its lowest ", "at its highest "), extremes, strict=True):
        if extreme is None:
            continue
        candidate = judge(extreme, limits, unit=unit)
        if _WORST_LAST.index(candidate.verdict) > _WORST_LAST.index(chosen.verdict):
            chosen = Judgment(candidate.verdict, candidate.distance, f"{word}{candidate.sentence}")
    return chosen


def stored_judgment(reading: Reading) -> Judgment:
    """What was said of a reading when it was logged: by the limits kept beside it, or by the tool it came from."""
    limits = Limits(
        low=reading.low,
        high=reading.high,
        nominal=reading.nominal,
        near_fraction=(reading.near_percent if reading.near_percent is not None else Decimal(10)) / 100,
    )
    judgment = _worst(reading.value, (reading.minimum, reading.maximum), limits, reading.unit)
    if reading.worked_from and reading.verdict != judgment.verdict.value:
        shown = show(reading.value.normalize(), reading.unit)
        return judged_by_tool(Verdict(reading.verdict), shown, reading.worked_from["title"])
    return judgment


def judged_by_tool(verdict: Verdict, shown: str, title: str) -> Judgment:
    """A verdict that does not follow from two limits alone, such as that of a set of cylinders."""
    return Judgment(verdict, None, f"{shown}, {verdict.value} by “{title}”")
