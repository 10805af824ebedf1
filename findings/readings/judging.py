"""What the limits say of a reading, with the extremes that the instrument kept."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from engineering.limits import Judgment, Limits, Verdict, convert_limits, judge, judge_range
from engineering.measures import show
from engineering.usual import is_difference
from findings.readings.models import Reading, SpecLimit
from findings.readings.revising import source_words
from findings.readings.working import why_not_judged
from web.sentences import within

_STORED_DECIMALS = 4

_WORDS = {Verdict.NEAR: "near the limit", Verdict.NO_LIMITS: "no limits known"}
"""Those whose own word says too little in a sentence."""


def verdict_words(verdict: Verdict) -> str:
    """A verdict where a sentence names it: "in range", "near the limit", "out", "no limits known"."""
    return _WORDS.get(verdict, verdict.value)


@dataclass(frozen=True)
class Comparison:
    """Limits in the unit of the value, and what they say. ``limits`` is empty where nothing was known.

    ``judged_by`` is the limit of a spec card that they are of; None for those of a tool. ``remark`` is kept beside it.
    """

    limits: Limits
    near_percent: Decimal | None
    source: str
    judgment: Judgment
    judged_by: SpecLimit | None = None
    remark: str = ""


def as_stored(value: Decimal) -> Decimal:
    """A value with the decimals that are kept: judged as it will stand, or the log would say another thing later."""
    return round(value, _STORED_DECIMALS) if -int(value.as_tuple().exponent) > _STORED_DECIMALS else value


def limits_in(limit: SpecLimit, unit: str, values: Iterable[Decimal] = ()) -> Limits:
    """A spec card's limits in another unit of the same kind, as they can be stored, to judge ``values`` as it does."""
    written = Limits(
        low=_plain(limit.low),
        high=_plain(limit.high),
        nominal=_plain(limit.nominal),
        near_fraction=limit.near_percent / 100,
    )
    turned = unit != limit.unit and is_difference(limit.parameter.name, unit)
    return convert_limits(
        written, limit.unit, unit, values=values, most_decimals=_STORED_DECIMALS, is_difference=turned
    )


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
    limits = limits_in(limit, unit, [as_stored(one) for one in (value, minimum, maximum) if one is not None])
    source = f"{within(limit.card.title)}: {source_words(limit)}"
    judgment = judge_range(value, limits, minimum=minimum, maximum=maximum, unit=unit)
    return Comparison(limits, limit.near_percent, source, judgment, limit)


def is_of_whole_log(*, from_file: bool, on_engine: bool, condition: str) -> bool:
    """Whether lowest and highest are those of a whole CAN log, and the condition is of its value alone.

    A log may begin with a cold start: its lowest is no value "warm, 2000 rpm", and is not judged as one. What a boat's
    own network names by itself ("battery 0") is true of all of its log.
    """
    return from_file and on_engine and bool(condition)


def stored_judgment(reading: Reading) -> Judgment:
    """What was said of a reading when it was logged: by the limits kept beside it, or by the tool it came from."""
    limits = Limits(
        low=reading.low,
        high=reading.high,
        nominal=reading.nominal,
        near_fraction=(reading.near_percent if reading.near_percent is not None else Decimal(10)) / 100,
    )
    judgment = judge(reading.value, limits, unit=reading.unit)
    on_engine, from_file = reading.entry.engine_id is not None, bool(reading.file_sha256)
    is_of_value = is_of_whole_log(from_file=from_file, on_engine=on_engine, condition=reading.condition)
    if (
        not is_of_value or judgment.verdict.value != reading.verdict
    ):  # those logged before were judged by their extremes
        judgment = judge_range(
            reading.value, limits, minimum=reading.minimum, maximum=reading.maximum, unit=reading.unit
        )
    if not reading.worked_from:
        return judgment
    shown = show(reading.value.normalize(), reading.unit)
    not_judged = why_not_judged(reading.worked_from)
    if not_judged and reading.verdict == Verdict.NO_LIMITS.value:
        return left_unjudged(shown, not_judged)
    if reading.verdict != judgment.verdict.value:
        return judged_by_tool(Verdict(reading.verdict), shown, reading.worked_from["title"])
    return judgment


def left_unjudged(shown: str, why: str) -> Judgment:
    """A value that a tool worked out, and that it does not judge although there may be limits: with the reason."""
    return Judgment(Verdict.NO_LIMITS, None, f"{shown}, not judged: {why}")


def judged_by_tool(verdict: Verdict, shown: str, title: str) -> Judgment:
    """A verdict that does not follow from two limits alone, such as that of a set of cylinders."""
    return Judgment(verdict, None, f"{shown}, {verdict_words(verdict)} by “{title}”")
