"""Worlds in which a return is seen at its hour."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import numpy as np
from numpy.random import Generator

from benchmarks.coverage.measuring import Scenario, Trial
from engineering.recurrence import (
    EventRecord,
    Held,
    NotEnough,
    PowerLaw,
    Weibull,
    compare_holding,
    fit_power_law,
    fit_weibull,
    holding_curve,
    mean_cumulative_function,
    poisson_rate,
    pooled_rate,
    sums_of,
)
from engineering.trend import TooFew, readings_of, trend_of

# ---- how often, over hulls


def _records(
    rng: Generator, rate: float, differ: float | None, hours: Sequence[float], routine: float = 1.0
) -> list[EventRecord]:
    """Hulls, each watched for its hours. ``routine``: the chance that the watching does not end with a return."""
    made = []
    for watched in map(float, hours):
        own = rate if differ is None else rng.gamma(differ, rate / differ)
        events = np.sort(rng.random(rng.poisson(own * watched))) * watched
        events = events[events > 0]
        ends = watched if rng.random() < routine else (float(events[-1]) if len(events) else 0.0)
        if ends > 0:
            made.append(EventRecord(tuple(float(at) for at in events), ends, ends < watched and len(events) > 0))
    return made


def _pooled(hulls: int, mean: float, differ: float | None, uneven: float = 0.0, routine: float = 1.0) -> Trial:
    """The mean rate of hulls, ``mean`` returns expected on each."""

    def trial(rng: Generator) -> bool | None:
        hours = 200 * rng.lognormal(0, uneven, hulls) if uneven else np.full(hulls, 200.0)
        rate = mean / 200
        records = _records(rng, rate, differ, list(hours), routine)
        if not records:
            return None
        told = pooled_rate(sums_of(records))
        if len(records) == 1 or told.high_per_hour is None:
            return None
        return (told.low_per_hour or 0.0) <= rate <= told.high_per_hour

    return trial


def _one_hull(mean: float, *, ends_with_event: bool) -> Trial:
    """The rate of one hull by itself, watched for some hours or until its last return."""

    def trial(rng: Generator) -> bool | None:
        rate = mean / 200
        record = _records(rng, rate, None, [200.0], 0.0 if ends_with_event else 1.0)
        if not record:
            return None
        ends = record[0].ends_with_event
        told = poisson_rate(len(record[0].event_hours), record[0].observed_h, ends_with_event=ends)
        return told.low_per_hour <= rate <= told.high_per_hour

    return trial


def _mean_count(hulls: int, mean: float, differ: float | None) -> Trial:
    """The mean count at the age to which the sentence tells it, of hulls watched for 100 to 200 h."""

    def trial(rng: Generator) -> bool | None:
        rate = mean / 200
        records = _records(rng, rate, differ, list(rng.uniform(100, 200, hulls)))
        told = mean_cumulative_function(records)
        if isinstance(told, NotEnough):
            return None
        last = told.last_founded
        return None if last is None else last.low <= rate * last.hours <= last.high

    return trial


# ---- the power law

_SCALE_H = 1000.0
"""Of a record in hours: what comes within one hour is one occasion (decision 0161)."""


def _power_law(shape: float, mean: float, what: str, *, ends_with_event: bool) -> Trial:
    """The shape, or the mean time between events now, of one record of a power law."""

    def trial(rng: Generator) -> bool | None:
        if ends_with_event:
            ages = np.cumsum(rng.exponential(size=int(mean))) ** (1 / shape)
        else:
            ages = np.sort(rng.random(rng.poisson(mean))) ** (1 / shape) * mean ** (1 / shape)
        if not len(ages):
            return None
        end = float(ages[-1]) if ends_with_event else mean ** (1 / shape)
        in_hours = EventRecord(tuple(_SCALE_H * float(age) for age in ages), _SCALE_H * end, ends_with_event)
        fit = fit_power_law([in_hours])
        if not isinstance(fit, PowerLaw):
            return None
        if what == "shape":
            return fit.shape_low <= shape <= fit.shape_high
        now = _SCALE_H * end ** (1 - shape) / shape
        return fit.mtbf_now_low_h <= now <= fit.mtbf_now_high_h

    return trial


# ---- how long repairs hold


def _held(rng: Generator, hulls: int, each: int, frailty: float | None) -> list[Held]:
    """Repairs that come back after an exponential time of 100 h on average, followed for 20 to 200 h."""
    held = []
    for hull in range(hulls):
        # A gamma frailty of this shape makes the share that holds t hours (1 + t/(100·shape))^−shape.
        pace = 1.0 if frailty is None else rng.gamma(frailty, 1 / frailty)
        for _ in range(each):
            back, followed = rng.exponential(100 / pace), rng.uniform(20, 200)
            held.append(Held(round(float(min(back, followed)), 1), bool(back < followed), hull=hull))
    return held


def holding_trial(held: Callable[[Generator], list[Held]], frailty: float | None, what: str) -> Trial:
    """The share of the repairs that holds 50 h, or the hours by which half have come back."""
    true_share = math.exp(-0.5) if frailty is None else (1 + 0.5 / frailty) ** -frailty
    half = 100 * math.log(2) if frailty is None else 100 * frailty * (2 ** (1 / frailty) - 1)

    def trial(rng: Generator) -> bool | None:
        told = holding_curve(held(rng), fewest_at_risk=5)
        if isinstance(told, NotEnough):
            return None
        if what == "median":
            if told.median_h is None:
                return None
            return (told.median_low_h or 0) <= half <= (told.median_high_h or math.inf)
        point = told.at(50)
        return None if point is None else point.low <= true_share <= point.high

    return trial


def _holding(hulls: int, each: int, frailty: float | None, what: str) -> Trial:
    return holding_trial(lambda rng: _held(rng, hulls, each, frailty), frailty, what)


def _weibull(hulls: int, each: int, shape: float) -> Trial:
    """The shape of a Weibull law of repairs that are followed for 20 to 200 h."""

    def trial(rng: Generator) -> bool | None:
        held = []
        for hull in range(hulls):
            for _ in range(each):
                back, followed = 100 * rng.weibull(shape), rng.uniform(20, 200)
                held.append(Held(round(float(min(back, followed)), 1), bool(back < followed), hull=hull))
        fit = fit_weibull(held)
        return fit.shape_low <= shape <= fit.shape_high if isinstance(fit, Weibull) else None

    return trial


def _same_repairs(hulls: int, each: int, frailty: float | None) -> Trial:
    """Two sorts of repairs, each on hulls of its own, that hold alike: no fair evidence of a difference is right."""

    def trial(rng: Generator) -> bool | None:
        first, second = _held(rng, hulls, each, frailty), _held(rng, hulls, each, frailty)
        second = [Held(one.hours, one.came_back, hull=f"second {one.hull}") for one in second]
        told = compare_holding(first, second)
        return None if isinstance(told, NotEnough) else told.p_value > 0.05

    return trial


# ---- the trend of a reading


def _trend(readings: int, rise: float, memory: float, what: str) -> Trial:
    """A line that rises over the record by so many times its noise, whose neighbors resemble each other by ``memory``.

    Its limit lies three tenths of the record ahead. Only what is told counts: bounds of the slope, or of the hours.
    """
    span = (readings - 1) * 10.0
    slope, ahead = rise / span, 0.3 * span

    def trial(rng: Generator) -> bool | None:
        noise = np.empty(readings)
        noise[0] = rng.normal()
        for index in range(1, readings):
            noise[index] = memory * noise[index - 1] + math.sqrt(1 - memory**2) * rng.normal()
        hours = np.arange(readings) * 10.0
        pairs = list(zip(hours.tolist(), (slope * hours + noise).tolist(), strict=True))
        found = trend_of(readings_of(pairs), high=1.3 * rise)
        if isinstance(found, TooFew) or found.told is None:
            return None
        if what == "slope":
            return found.told.slope_low <= slope <= found.told.slope_high
        if found.soonest_h is None:
            return None
        return found.soonest_h <= ahead <= (math.inf if found.latest_h is None else found.latest_h)

    return trial


SEEN_AT_ONCE: Sequence[Scenario] = [
    *(
        Scenario(
            "mean rate over hulls",
            f"{hulls} hulls, {mean:g} returns each, {words}",
            _pooled(hulls, mean, differ, uneven),
        )
        for hulls in (5, 12, 40)
        for mean in (0.3, 2)
        for differ, uneven, words in (
            (None, 0.0, "all alike"),
            (1.0, 0.0, "rates that differ"),
            (1.0, 1.0, "rates and hours that differ"),
        )
    ),
    *(
        Scenario(
            "mean rate over hulls",
            f"{hulls} hulls that differ, {1 - routine:.0%} seen only when it is back",
            _pooled(hulls, 2, 2.0, routine=routine),
        )
        for hulls in (12, 40)
        for routine in (0.9, 0.5, 0.1, 0.0)
    ),
    *(
        Scenario("rate of one hull", f"{mean:g} returns, {words}", _one_hull(mean, ends_with_event=ends))
        for mean in (1, 4, 12)
        for ends, words in ((False, "watched on"), (True, "seen only when it is back"))
    ),
    *(
        Scenario("mean count", f"{hulls} hulls, {mean:g} returns each, {words}", _mean_count(hulls, mean, differ))
        for hulls in (3, 5, 10, 30)
        for mean in (0.5, 3)
        for differ, words in ((None, "all alike"), (1.0, "rates that differ"))
    ),
    *(
        Scenario(
            f"power law, {what}",
            f"shape {shape:g}, {mean} events, {'ends with an event' if ends else 'goes on'}",
            _power_law(shape, mean, what, ends_with_event=ends),
        )
        for what in ("shape", "mean time now")
        for shape in (0.6, 1.5)
        for mean in (6, 20)
        for ends in (True, False)
    ),
    *(
        Scenario(f"repairs, {what}", f"{hulls} hulls with {each} each, {words}", _holding(hulls, each, frailty, what))
        for what in ("share at 50 h", "median")
        for hulls, each in ((12, 1), (40, 1), (6, 4), (15, 4), (40, 3))
        for frailty, words in ((None, "all alike"), (1.0, "repairs of one hull alike"))
    ),
    *(
        Scenario("Weibull shape", f"{hulls} hulls with {each} each, shape {shape:g}", _weibull(hulls, each, shape))
        for hulls, each in ((20, 1), (8, 4), (40, 2))
        for shape in (0.7, 2.0)
    ),
    *(
        Scenario(
            "no difference of repairs",
            f"twice {hulls} hulls with {each} each, {words}",
            _same_repairs(hulls, each, frailty),
        )
        for hulls, each in ((10, 1), (5, 4), (20, 3))
        for frailty, words in ((None, "all alike"), (1.0, "repairs of one hull alike"))
    ),
    *(
        Scenario(name, f"{readings} readings, rise {rise:g}, memory {memory:g}", _trend(readings, rise, memory, what))
        for name, what in (("slope of a reading", "slope"), ("hours until a limit", "hours"))
        for readings in (6, 12, 30)
        for rise in (3, 6)
        for memory in (0.0, 0.3, 0.6)
    ),
]
