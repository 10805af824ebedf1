"""The mean cumulative function: how many events one of a fleet has had on average by an age."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Hashable, Sequence
from dataclasses import dataclass

from engineering.recurrence.distributions import t_quantile
from engineering.recurrence.events import EventRecord
from engineering.recurrence.problem import NotEnough, refuse_unless_confidence
from engineering.recurrence.wording import figure, how_many
from engineering.recurrence.wording import hours as hours_words

FEWEST_FOR_BOUNDS = 3
"""With fewer records their differences say too little for bounds (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class CountPoint:
    """Mean events per record by ``hours``. ``at_risk`` records were observed that long, of ``hulls`` hulls."""

    hours: float
    mean: float
    variance: float
    low: float
    high: float
    at_risk: int
    hulls: int


@dataclass(frozen=True, slots=True)
class MeanCount:
    """The function, one point for each age at which something happened."""

    points: tuple[CountPoint, ...]
    records: int
    events: int
    confidence: float
    founded_h: float = 0.0
    """How far records of enough hulls were observed."""

    @property
    def last_founded(self) -> CountPoint | None:
        """The last point to which records of enough hulls were observed."""
        return next((point for point in reversed(self.points) if point.hours <= self.founded_h), None)

    @property
    def sentence(self) -> str:
        """Its last well-founded value, for a person."""
        last = self.last_founded
        if last is None:
            few = "too few were observed long enough for a mean"
            return f"{how_many(self.events, 'event').capitalize()} on {self.records} records; {few}."
        bounds, mean = f"{figure(last.low, 2)} to {figure(last.high, 2)}", figure(last.mean, 2)
        return (
            f"By {hours_words(last.hours)} one of them has had {mean} {'event' if mean == '1' else 'events'} on "
            f"average, in the long run {bounds} ({self.confidence:.0%} sure, {last.at_risk} observed that long)."
        )


def mean_cumulative_function(records: Sequence[EventRecord], *, confidence: float = 0.95) -> MeanCount | NotEnough:
    """Nelson's mean cumulative function M(t) = Σ dⱼ/nⱼ over hours, with robust bounds.

    The variance is Lawless and Nadeau's, Σᵢ(Σⱼ Rᵢⱼ/nⱼ·(dᵢⱼ − dⱼ/nⱼ))²: it holds however events of one record hang
    together. For the bounds it is taken times n/(n − 1) and never less than Poisson's Σ dⱼ/nⱼ², as a few records that
    happen to agree would look sure; M·exp(±t·√Var/M), with Student's t of n − 1 degrees of freedom, n being the records
    observed that long, stay above zero. Where records have hulls, i and n are the hulls.
    Coverage is measured in benchmarks/README.md. Tied events are counted as they are; a record counts as at risk up to
    and including its end. No event, or fewer than three records or hulls: :class:`NotEnough`.
    Source: Nelson, "Confidence Limits for Recurrence Data", Technometrics 37 (1995); Lawless and Nadeau, "Some Simple
    Robust Methods for the Analysis of Recurrent Events", Technometrics 37 (1995); both from memory.

    Raises:
        RecurrenceProblem: a confidence out of its range.
    """
    refuse_unless_confidence(confidence)
    events = sum(len(record.event_hours) for record in records)
    numbers: dict[Hashable, int] = {}
    hulls = [
        numbers.setdefault(("record", index) if record.hull is None else ("hull", record.hull), len(numbers))
        for index, record in enumerate(records)
    ]
    if events and len(records) >= FEWEST_FOR_BOUNDS > len(numbers):
        return NotEnough(f"Not enough data for a mean: all are of {how_many(len(numbers), 'hull')}.")
    if not events or len(records) < FEWEST_FOR_BOUNDS:
        return NotEnough(
            f"Not enough data for a mean: {how_many(events, 'event')} on {how_many(len(records), 'record')}; "
            f"it takes events, and {FEWEST_FOR_BOUNDS} records or more."
        )
    points: list[CountPoint] = []
    mean = poisson = 0.0
    counts = [Counter(record.event_hours) for record in records]
    sums = [0.0] * len(numbers)
    for hours in sorted({hours for record in records for hours in record.event_hours}):
        at_risk = [index for index, record in enumerate(records) if record.observed_h >= hours]
        step = sum(counts[index][hours] for index in at_risk) / len(at_risk)
        mean += step
        for index in at_risk:
            sums[hulls[index]] += (counts[index][hours] - step) / len(at_risk)
        poisson += step / len(at_risk)
        variance = sum(one * one for one in sums)
        low, high = 0.0, math.inf
        apart = len({hulls[index] for index in at_risk})
        if apart > 1:
            widest = max(poisson, variance * apart / (apart - 1))
            spread = math.exp(min(700.0, t_quantile(0.5 + confidence / 2, apart - 1) * math.sqrt(widest) / mean))
            low, high = mean / spread, mean * spread
        points.append(CountPoint(hours, mean, variance, low, high, len(at_risk), apart))
    longest: dict[int, float] = {}
    for hull, record in zip(hulls, records, strict=True):
        longest[hull] = max(longest.get(hull, 0.0), record.observed_h)
    founded_h = sorted(longest.values())[-FEWEST_FOR_BOUNDS]
    return MeanCount(tuple(points), len(records), events, confidence, founded_h)
