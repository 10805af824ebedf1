"""How often over several hulls: a rate whose bounds allow that hulls differ, and that boats come when it is back."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from engineering.recurrence.distributions import t_quantile
from engineering.recurrence.events import EventRecord
from engineering.recurrence.problem import refuse_unless_confidence, refuse_unless_finite
from engineering.recurrence.rates import poisson_rate

FEWEST_HULLS = 4.0
"""Bounds over several hulls need so many that count alike (see ``HullSums.alike``)."""
NOT_PROVEN = "no scan between its going and its return"
FAIR_SHARE = 0.9
"""Of the hours that should lie after the last returns, so much has to be on record for a lower bound."""


@dataclass(frozen=True, slots=True)
class HullSums:
    """What the records of several hulls add up to. Hours are those at which each was watched.

    ``spread`` is Σ((nᵢ − r·hᵢ)/(1 − hᵢ/T))² with r = R/T; ``after_h`` the hours after the last event of each record,
    and ``after_expected_h`` Σ hᵢ/(nᵢ + 1), what they are on average where the watching did not end with an event.
    """

    hulls: int
    events: int
    hours: float
    hours_squared: float
    spread: float
    after_h: float
    after_expected_h: float
    hours_least: float | None = None
    """The part of the hours that is proven, where returns came somewhere between two scans."""
    hours_most: float | None = None

    @property
    def alike(self) -> float:
        """To how many hulls with the same hours these come: T²/Σhᵢ². One watched long does not count for many."""
        return self.hours**2 / self.hours_squared if self.hours_squared else 0.0


@dataclass(frozen=True, slots=True)
class PooledRate:
    """Events per hour over several hulls. A bound is None where none can be given; ``why`` then says why."""

    events: int
    hours: float
    per_hour: float
    low_per_hour: float | None
    high_per_hour: float | None
    confidence: float
    why: str = ""


def sums_of(records: Sequence[EventRecord], *, hours_least: float | None = None) -> HullSums:
    """The sums of records, one for each hull; ``hours_least`` is the part of all hours that is proven."""
    events = sum(len(record.event_hours) for record in records)
    hours = math.fsum(record.observed_h for record in records)
    rate = events / hours if hours else 0.0
    return HullSums(
        hulls=len(records),
        events=events,
        hours=hours,
        hours_squared=math.fsum(record.observed_h**2 for record in records),
        spread=math.fsum(
            ((len(record.event_hours) - rate * record.observed_h) / (1 - record.observed_h / hours)) ** 2
            for record in records
            if record.observed_h < hours
        ),
        after_h=math.fsum(
            record.observed_h - (record.event_hours[-1] if record.event_hours else 0.0) for record in records
        ),
        after_expected_h=math.fsum(record.observed_h / (len(record.event_hours) + 1) for record in records),
        hours_least=hours_least,
    )


def pooled_rate(sums: HullSums, *, confidence: float = 0.95) -> PooledRate:
    """The mean rate of hulls that may differ, per hour.

    One hull: its own rate with its exact bounds. Several: r·exp(±t·s), s² the jackknife's variance of ln r over hulls,
    never less than Poisson's, t of Student with ``alike`` − 1 degrees of freedom, and never inside the exact Poisson
    bounds. Nothing seen: the mean rate at which (1 + rate·T/K)^−K is α/2, K being ``alike``: hulls whose rates scatter
    as an exponential law would show nothing so often. Fewer than four hulls alike: no bounds. Where the hours after the
    last returns are missing, boats were seen mainly when it was back; the rate then looks too high, so there is no
    lower bound. Where part of the hours lies between the last scan without it and the one that saw it back, the lower
    bound counts all of them and the upper one none; no proven hours, no upper bound.
    Source: Poisson bounds by Garwood (1936); the jackknife over clusters is common practice (Bell and McCaffrey, "Bias
    Reduction in Standard Errors for Linear Regression with Multi-Stage Samples", Survey Methodology 28 (2002), from
    memory). Coverage is measured in benchmarks/README.md.

    Raises:
        RecurrenceProblem: hours not above zero, or a confidence out of its range.
    """
    refuse_unless_confidence(confidence)
    refuse_unless_finite(sums.hours, "The hours", field="hours", above=0)
    told = _pooled(sums, confidence)
    low, high = told.low_per_hour, told.high_per_hour
    if low is not None and sums.hours_most is not None and sums.hours_most > sums.hours:
        low *= sums.hours / sums.hours_most
    if high is None or sums.hours_least is None or sums.hours_least >= sums.hours:
        return replace(told, low_per_hour=low)
    if sums.hours_least <= 0:
        return replace(told, low_per_hour=low, high_per_hour=None, why=told.why or NOT_PROVEN)
    return replace(told, low_per_hour=low, high_per_hour=high * sums.hours / sums.hours_least)


def _pooled(sums: HullSums, confidence: float) -> PooledRate:
    """The rate where every return was when it was seen."""
    ends_with_event = sums.hulls == 1 and sums.events > 0 and sums.after_h <= 0
    alone = poisson_rate(sums.events, sums.hours, confidence=confidence, ends_with_event=ends_with_event)
    rate = alone.per_hour
    if sums.hulls == 1:
        low, high, why = alone.low_per_hour, alone.high_per_hour, ""
    elif sums.alike < FEWEST_HULLS:
        return PooledRate(
            sums.events, sums.hours, rate, None, None, confidence, "too few hulls, or most hours on a few of them"
        )
    elif not sums.events:
        tail = (1 - confidence) / 2
        low, high, why = 0.0, sums.alike / sums.hours * (tail ** (-1 / sums.alike) - 1), ""
    else:
        variance = max(sums.spread * (sums.hulls - 1) / sums.hulls, sums.events) / sums.events**2
        reach = math.exp(t_quantile(0.5 + confidence / 2, sums.alike - 1) * math.sqrt(variance))
        low, high, why = min(rate / reach, alone.low_per_hour), max(rate * reach, alone.high_per_hour), ""
    if sums.hulls > 1 and sums.events and sums.after_h < FAIR_SHARE * sums.after_expected_h:
        return PooledRate(
            sums.events, sums.hours, rate, None, high, confidence, "boats were seen mainly when it was back"
        )
    return PooledRate(sums.events, sums.hours, rate, low, high, confidence, why)
