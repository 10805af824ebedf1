"""Worlds in which a return is only known to lie between two scans.

Boats come for service, every so many hours, and nobody notices before; or they come because the code is back, at its
very hour, and else never or rarely. The program does not know which, so an interval has to hold in all of them.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from functools import cache

import numpy as np
from numpy.random import Generator

from benchmarks.coverage.measuring import Scenario, Trial
from benchmarks.coverage.worlds import holding_trial
from engineering.recurrence import (
    Away,
    ComingBack,
    Held,
    NotEnough,
    Weibull,
    coming_back,
    compare_holding,
    fit_weibull,
    poisson_rate,
    pooled_rate,
    sums_of,
)

EVERY_20, EVERY_60 = (20.0, 0.0), (60.0, 0.0)
WHEN_BACK = (math.inf, 1.0)
MOSTLY_WHEN_BACK = (60.0, 0.7)
"""Hours between services (infinite: none), and how many of the returns are noticed at once."""
LOOKS = (
    (EVERY_20, "scanned every 20 h"),
    (EVERY_60, "scanned every 60 h"),
    (WHEN_BACK, "only when it is back"),
    (MOSTLY_WHEN_BACK, "every 60 h, and 70% at once when it is back"),
)
Looks = tuple[float, float]


def _services(rng: Generator, looks: Looks, until: float) -> list[float]:
    """The hours of the services up to an hour, each a little early or late."""
    every = looks[0]
    if math.isinf(every):
        return []
    hours, at = [], float(rng.uniform(0, every))
    while at <= until:
        hours.append(round(at, 1))
        at += float(rng.uniform(0.5, 1.5)) * every
    return hours


def _seen(rng: Generator, back: float, until: float, looks: Looks) -> tuple[float, float, bool]:
    """Until when it is known to be away, and at which hours its return is seen, if it is."""
    services = _services(rng, looks, until)
    before = max((at for at in services if at < back), default=0.0)
    if back <= until and rng.random() < looks[1]:
        return before, back, True
    seen = min((at for at in services if at >= back), default=None)
    return (before, before, False) if seen is None else (before, seen, True)


def _held(
    rng: Generator, hulls: int, each: int, frailty: float | None, looks: Looks, *, shape: float = 1.0
) -> list[Held]:
    """Repairs that come back after 100 h on average and are followed for 20 to 200 h."""
    held = []
    for hull in range(hulls):
        pace = 1.0 if frailty is None else rng.gamma(frailty, 1 / frailty)
        for _ in range(each):
            back = 100 * rng.weibull(shape) / pace
            least, seen, came_back = _seen(rng, float(back), float(rng.uniform(20, 200)), looks)
            held.append(Held(seen, came_back, 1, hull, least))
    return held


def _holding(hulls: int, each: int, frailty: float | None, looks: Looks, what: str) -> Trial:
    return holding_trial(lambda rng: _held(rng, hulls, each, frailty, looks), frailty, what)


def _weibull(hulls: int, each: int, shape: float, looks: Looks) -> Trial:
    def trial(rng: Generator) -> bool | None:
        fit = fit_weibull(_held(rng, hulls, each, None, looks, shape=shape))
        return fit.shape_low <= shape <= fit.shape_high if isinstance(fit, Weibull) else None

    return trial


def _same_repairs(hulls: int, each: int, first: Looks, second: Looks) -> Trial:
    """Two sorts of repairs that hold alike, looked at in two ways."""

    def trial(rng: Generator) -> bool | None:
        one = _held(rng, hulls, each, 1.0, first)
        other = [replace(row, hull=f"second {row.hull}") for row in _held(rng, hulls, each, 1.0, second)]
        told = compare_holding(one, other, at_hours=50)
        return None if isinstance(told, NotEnough) else told.p_value > 0.05

    return trial


def _away(rng: Generator, rate: float, watched: float, looks: Looks) -> tuple[Away, float]:
    """One hull, and its true hours away: each return is mended when it is seen, and the next time begins there."""
    gaps: list[tuple[float, float]] = []
    at = last = truly = 0.0
    while True:
        back = float(rng.exponential(1 / rate))
        least, seen, came_back = _seen(rng, back, watched - at, looks)
        if not came_back:
            last = least
            break
        gaps.append((round(least, 1), max(round(seen, 1), 0.1)))
        truly += back
        at += seen
    least_h = tuple(min(least, seen) for least, seen in gaps)
    return Away(tuple(seen for _, seen in gaps), round(last, 1), least_h=least_h), truly + last


def _one_hull(mean: float, looks: Looks) -> Trial:
    """The rate of one hull, whether it came back or not."""

    def trial(rng: Generator) -> bool | None:
        away, _ = _away(rng, mean / 200, 200.0, looks)
        told = coming_back(away)
        rate = told.rate if isinstance(told, ComingBack) else None
        if rate is None and not away.gaps_h and away.away_now_h:
            rate = poisson_rate(0, away.away_now_h)
        return None if rate is None else rate.low_per_hour <= mean / 200 <= rate.high_per_hour

    return trial


def _fleet(rng: Generator, hulls: int, mean: float, differ: float | None, looks: Looks) -> list[tuple[Away, float]]:
    rates = [mean / 200 * (1.0 if differ is None else rng.gamma(differ, 1 / differ)) for _ in range(hulls)]
    return [_away(rng, max(rate, 1e-6), float(rng.uniform(100, 300)), looks) for rate in rates]


@cache
def _in_the_long_run(mean: float, differ: float | None, looks: Looks) -> float:
    """Returns for each hour away of very many hulls: those in which it is mostly there have few such hours."""
    many = _fleet(np.random.default_rng(1), 20_000, mean, differ, looks)
    return sum(len(away.gaps_h) for away, _ in many) / sum(truly for _, truly in many)


def _pooled(hulls: int, mean: float, differ: float | None, looks: Looks) -> Trial:
    def trial(rng: Generator) -> bool | None:
        seen = [(away.record(), away) for away, _ in _fleet(rng, hulls, mean, differ, looks)]
        records = [record for record, _ in seen if record is not None]
        if len(records) < 2:
            return None
        least = sum(sum(away.least) + (away.away_now_h or 0) for record, away in seen if record is not None)
        told = pooled_rate(sums_of(records, hours_least=least))
        if told.low_per_hour is None and told.high_per_hour is None:
            return None
        true = _in_the_long_run(mean, differ, looks)
        return (told.low_per_hour or 0.0) <= true <= (told.high_per_hour or math.inf)

    return trial


def _more_and_more_looks(mean: float) -> Trial:
    """A fault that comes back steadily, in a boat that is scanned every 60 h and in the end every 10 h.

    It counts how often nothing is said of the fault itself.
    """

    def trial(rng: Generator) -> bool | None:
        gaps: list[tuple[float, float]] = []
        for every in np.linspace(60, 10, 12):
            services, back = 0.0, float(rng.exponential(200 / mean))
            while services + every < back:
                services += float(every)
            gaps.append((round(services, 1), round(services + float(every), 1)))
        told = coming_back(Away(tuple(seen for _, seen in gaps), None, least_h=tuple(least for least, _ in gaps)))
        return not told.strength.says_something or told.as_seen if isinstance(told, ComingBack) else None

    return trial


BETWEEN_SCANS: Sequence[Scenario] = [
    *(
        Scenario(f"repairs, {what}", f"{hulls} hulls with {each} each, {words}, {looked}", trial)
        for what in ("share at 50 h", "median")
        for hulls, each in ((12, 1), (15, 4), (40, 3))
        for frailty, words in ((None, "all alike"), (1.0, "repairs of one hull alike"))
        for looks, looked in LOOKS
        for trial in (_holding(hulls, each, frailty, looks, what),)
    ),
    *(
        Scenario("Weibull shape", f"40 hulls with 2 each, shape {shape:g}, {looked}", _weibull(40, 2, shape, looks))
        for shape in (0.7, 2.0)
        for looks, looked in LOOKS
    ),
    *(
        Scenario("no difference of repairs", f"twice {hulls} hulls with 2 each, {words}", trial)
        for hulls in (10, 30)
        for first, second, words in (
            (EVERY_60, EVERY_60, "both scanned every 60 h"),
            (EVERY_20, EVERY_60, "scanned every 20 h and every 60 h"),
            (WHEN_BACK, EVERY_60, "one only when it is back, one every 60 h"),
        )
        for trial in (_same_repairs(hulls, 2, first, second),)
    ),
    *(
        Scenario("rate of one hull", f"{mean} returns, {looked}", _one_hull(mean, looks))
        for mean in (1, 4, 12)
        for looks, looked in LOOKS
    ),
    *(
        Scenario("mean rate over hulls", f"{hulls} hulls, 3 returns each, {words}, {looked}", trial)
        for hulls in (8, 30)
        for differ, words in ((None, "all alike"), (1.0, "rates that differ"))
        for looks, looked in LOOKS
        for trial in (_pooled(hulls, 3, differ, looks),)
    ),
    Scenario("no trend of the fault", "6 returns in 100 h, scanned more and more often", _more_and_more_looks(12)),
    Scenario("no trend of the fault", "2 returns in 100 h, scanned more and more often", _more_and_more_looks(4)),
]
