"""The share of repairs that hold, beside Turnbull's estimate for interval-censored data as lifelines has it.

Turnbull, "The Empirical Distribution Function with Arbitrarily Grouped, Censored and Truncated Data", JRSS B 38 (1976).
It weighs the places where a return may lie; the share shown is the range over all of them, so it has to hold his.
"""

from __future__ import annotations

import bisect
import itertools
import math
import random

import pytest

from engineering.recurrence import Held, HoldingCurve, NotEnough, holding_curve

_CLOSE = 1e-3
"""Turnbull's estimate is found by steps: lifelines ends them where they change little."""
_KINDS = ("service", "when it is back", "both", "once after the repair")


def _scans(draw: random.Random, kind: str, returned: float, end: float) -> list[float]:
    """The hours at which one repair is looked at, no two of them alike.

    Lifelines takes both ends of an interval into it: where one repair is proven to the hour at which another is seen
    back, it lets both come back at that hour. Here what was proven at an hour came back later.
    """
    every = draw.choice([5, 20, 60]) * draw.uniform(0.5, 1.5)
    regular = [every * number for number in range(1, int(end / every) + 1)]
    because = [returned + draw.uniform(0, 3)] if returned < end else []
    once = [draw.uniform(0, 2)]
    looked = {
        "service": regular, "when it is back": because, "both": regular + because,
        "once after the repair": once + because,
    }[kind]  # fmt: skip
    return sorted(looked) or [end]


def _repairs(draw: random.Random, kind: str) -> list[Held]:
    rows = []
    for _ in range(draw.choice([8, 15, 40])):
        returned = draw.weibullvariate(100, draw.choice([0.7, 1, 2]))
        scans = _scans(draw, kind, returned, draw.uniform(20, 250))
        without, with_it = [hours for hours in scans if hours < returned], [h for h in scans if h >= returned]
        if with_it:
            rows.append(Held(with_it[0], came_back=True, least_hours=max(without, default=0.0)))
        else:
            rows.append(Held(scans[-1], came_back=False))
    return rows


def _turnbull(rows: list[Held]) -> dict[float, float]:
    """Turnbull's share at each of the hours on record, where it is one figure: no hours lie inside its intervals."""
    from lifelines import KaplanMeierFitter

    lower = [row.last_without if row.came_back else row.hours for row in rows]
    upper = [row.hours if row.came_back else math.inf for row in rows]
    table = KaplanMeierFitter().fit_interval_censoring(lower, upper, tol=1e-8).survival_function_
    return {float(hours): float(share) for hours, share in table["NPMLE_estimate_lower"].items()}


@pytest.mark.filterwarnings("ignore")
@pytest.mark.parametrize("kind", _KINDS)
def test_turnbulls_share_lies_within_the_range_that_is_shown(kind):
    """Also between the hours on record, where his share is anything from that at the next of them to that before."""
    compared = 0
    for seed in range(12):
        rows = _repairs(random.Random(f"{kind} {seed}"), kind)
        curve = holding_curve(rows)
        if isinstance(curve, NotEnough):
            continue
        reference = _turnbull(rows)
        hours = sorted(one for one in reference if one <= curve.longest_h)
        for before, after in itertools.pairwise(hours):
            for at, most, least in (
                (after, reference[after], reference[after]),
                ((before + after) / 2, reference[before], reference[after]),
            ):
                shown = curve.at(at)
                told = f"{kind}, seed {seed}, {at} h: {shown.least} to {shown.most}"
                assert shown.least - _CLOSE <= least, f"{told}, Turnbull {least}"
                assert most <= shown.most + _CLOSE, f"{told}, Turnbull {most}"
                assert shown.low - _CLOSE <= least, told
                assert most <= shown.high + _CLOSE, told
                compared += 1
    assert compared > 200


@pytest.mark.filterwarnings("ignore")
def test_where_the_hours_of_every_return_are_known_all_three_are_one():
    draw = random.Random(3)
    rows = [Held(round(draw.expovariate(0.01) + 1, 1), came_back=draw.random() < 0.6) for _ in range(30)]
    narrow = [Held(row.hours, row.came_back, least_hours=row.hours - 1e-6) if row.came_back else row for row in rows]
    curve, reference = holding_curve(rows), _turnbull(narrow)
    assert isinstance(curve, HoldingCurve)
    on_record = sorted(reference)
    for point in curve.points:
        turnbull = reference[on_record[bisect.bisect_right(on_record, point.hours + 1e-9) - 1]]
        assert point.least == pytest.approx(point.most)
        assert turnbull == pytest.approx(point.most, abs=_CLOSE)
