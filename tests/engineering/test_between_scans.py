"""A return is only known to lie between the last scan without the code and the scan that saw it."""

from __future__ import annotations

import itertools
import math
from datetime import UTC, datetime, timedelta
from decimal import Decimal

import pytest

from engineering.codes import CodeStatus
from engineering.faults import Absent, Cleared, Seen, Worked, replay
from engineering.recurrence import (
    Away,
    Held,
    NotEnough,
    RecurrenceProblem,
    Strength,
    Weibull,
    away_of,
    coming_back,
    compare_holding,
    fit_weibull,
    holding_curve,
    poisson_rate,
    pooled_rate,
    record_of,
    sums_of,
)
from engineering.recurrence.followed import Followed

DAY = datetime(2024, 3, 1, tzinfo=UTC)


def at(kind, day, hours, *more):
    return kind(f"{kind.__name__}{day}", DAY + timedelta(days=day), None if hours is None else Decimal(hours), *more)


def seen(day, hours):
    return at(Seen, day, hours, CodeStatus.ACTIVE)


# ---- what the log says of one return


@pytest.mark.parametrize(
    ("evidence", "between"),
    [
        # cleared at 100 h, seen gone at 100 and 130 h, back at 160 h
        ([at(Cleared, 1, 100), at(Absent, 2, 100), at(Absent, 9, 130), seen(20, 160)], (30, 60, 60)),
        # nobody looked after the clear: it may have been back at once
        ([at(Cleared, 1, 100), seen(20, 160)], (0, 60, 60)),
        # looked at right after the repair only
        ([at(Cleared, 1, 100), at(Absent, 1, 100), seen(20, 160)], (0, 60, 60)),
        # a scan without hours proves nothing of hours
        ([at(Cleared, 1, 100), at(Absent, 9, None), seen(20, 160)], (0, 60, 60)),
        # went by itself somewhere from 95 to 120 h: away for 30 to 65 h
        ([at(Absent, 5, 120), at(Absent, 9, 150), seen(20, 160)], (30, 40, 65)),
        # the permanent copy alone at 110 h says nothing of the code, which may have gone at any hour after 95
        ([at(Seen, 3, 110, CodeStatus.PERMANENT), at(Absent, 5, 120), seen(20, 160)], (0, 40, 65)),
        # went after work at 98 h, of which it is counted
        ([at(Worked, 2, 98), at(Absent, 5, 120), seen(20, 160)], (22, 62, 62)),
        # a meter that was read backward at the proof
        ([at(Cleared, 1, 100), at(Absent, 9, 90), seen(20, 160)], (0, 60, 60)),
        # a proof beyond the return, by a misread meter, proves no more than the gap
        ([at(Cleared, 1, 100), at(Absent, 9, 900), seen(20, 160)], (60, 60, 60)),
    ],
)
def test_a_time_away_lies_between_what_scans_prove_and_what_they_allow(evidence, between):
    back = replay([seen(0, 95), *evidence]).episodes[1]
    assert (back.gap_least_hours, back.gap_hours, back.gap_most_hours) == between


def test_the_hours_of_a_return_are_unknown_as_a_whole_or_not_at_all():
    back = replay([seen(0, 95), at(Cleared, 1, 100), at(Absent, 2, 130), seen(20, None)]).episodes[1]
    assert (back.gap_least_hours, back.gap_hours, back.gap_most_hours) == (None, None, None)


def test_a_fault_that_went_by_itself_may_have_been_away_longer():
    history = replay([seen(0, 95), at(Absent, 5, 120), at(Absent, 9, 150)])
    assert (history.away.hours, history.away_most_hours) == (30, 55)
    copied = replay([seen(0, 95), at(Seen, 3, 110, CodeStatus.PERMANENT), at(Absent, 5, 120), at(Absent, 9, 150)])
    assert (copied.away.hours, copied.away_most_hours) == (30, 55)
    cleared = replay([seen(0, 95), at(Cleared, 5, 120), at(Absent, 9, 150)])
    assert cleared.away_most_hours == cleared.away.hours == 30


def test_the_brackets_go_into_the_times_away():
    away = away_of(replay([seen(0, 95), at(Absent, 5, 120), seen(20, 160), at(Cleared, 21, 161), at(Absent, 30, 200)]))
    assert (away.least, away.gaps_h, away.most, away.away_now_h) == ((0,), (40,), (65,), 39)
    assert away.is_between
    assert not away.is_narrow


# ---- what is said of one fault


def test_looking_more_often_is_no_trend_of_the_fault():
    # scanned every 80 h, then 40, 20, 10, 5: it was there every time, and nobody knows since when
    gaps = (160.0, 120.0, 80.0, 40.0, 20.0, 10.0, 5.0, 3.0)
    told = coming_back(Away(gaps, None, least_h=(0.0,) * len(gaps)))
    assert told.as_seen
    assert told.sentence.startswith("Strong evidence that it is seen back more often. ")
    assert told.sentence.endswith("each time it came back somewhere between two scans.")


def test_a_trend_that_stands_for_all_that_scans_allow_is_said_of_the_fault():
    gaps = (400.0, 250.0, 150.0, 90.0, 50.0, 25.0, 10.0, 5.0)
    told = coming_back(Away(gaps, None, least_h=tuple(0.9 * gap for gap in gaps)))
    assert not told.as_seen
    assert told.sentence.startswith("Strong evidence that it is coming back more often. ")


def test_no_trend_between_scans_does_not_say_what_it_would_have_seen():
    gaps = (50.0, 60.0, 40.0, 55.0, 45.0, 50.0)
    told = coming_back(Away(gaps, 30, least_h=(0.0,) * 6))
    assert told.strength is Strength.NONE
    assert told.sentence.endswith("somewhere between two scans, so that even a large trend is easily missed.")
    assert told.power_law is None
    assert "4 times in 5" in coming_back(Away(gaps, 30)).sentence


def test_a_rate_counts_all_hours_below_and_proven_hours_above():
    told = coming_back(Away((50.0, 60.0), 90, least_h=(20.0, 40.0))).rate
    assert told.low_per_hour == pytest.approx(poisson_rate(2, 200).low_per_hour)
    assert told.high_per_hour == pytest.approx(poisson_rate(2, 150).high_per_hour)
    assert "150 h of them proven: seen 1 per 100 h" in told.sentence
    open_above = coming_back(Away((50.0, 60.0), None, least_h=(0.0, 0.0))).rate
    assert math.isinf(open_above.high_per_hour)
    assert "in the long run at least 0.023 per" not in open_above.sentence
    assert "in the long run at least" in open_above.sentence
    assert "inf" not in open_above.sentence


def test_brackets_of_another_number_are_refused():
    with pytest.raises(RecurrenceProblem, match="every time away"):
        Away((50.0, 60.0), 90, least_h=(20.0,))


def test_a_rate_over_hulls_counts_proven_hours_above():
    records = [record_of([30, 60], 100) for _ in range(8)]
    alone, between = pooled_rate(sums_of(records)), pooled_rate(sums_of(records, hours_least=400))
    assert between.low_per_hour == alone.low_per_hour
    assert between.high_per_hour == pytest.approx(2 * alone.high_per_hour)
    none = pooled_rate(sums_of(records, hours_least=0))
    assert (none.high_per_hour, none.why) == (None, "no scan between its going and its return")


# ---- how repairs hold


ROWS = [
    (30, True, 10), (40, True, 0), (55, False, None), (60, True, 60), (70, True, 20), (80, False, None),
    (90, False, None), (120, True, 90), (130, False, None), (140, False, None),
]  # fmt: skip


def held(rows=ROWS, hull=None):
    return [
        Held(float(hours), back, 1, hull and hull(at), None if least is None else float(least))
        for at, (hours, back, least) in enumerate(rows)
    ]


def kaplan_meier(rows, hours):
    """By hand: (hours, back) in any order."""
    share = 1.0
    for when in sorted({at for at, back in rows if back and at <= hours}):
        at_risk = sum(at >= when for at, _ in rows)
        share *= 1 - sum(back and at == when for at, back in rows) / at_risk
    return share


@pytest.mark.parametrize("hours", [1, 10, 10.1, 25, 30, 39, 40, 55, 60, 65, 70, 85, 90, 100, 120, 140])
def test_the_share_lies_between_the_extremes_of_every_placing(hours):
    point = holding_curve(held()).at(hours)
    step = 0.05  # just after the last scan without it
    places = [
        (at,) if not back else (at, *(one for one in (least + step, (least + at) / 2, hours) if least < one <= at))
        for at, back, least in ROWS
    ]
    shares = [
        kaplan_meier([(place, back) for place, (_, back, _) in zip(placed, ROWS, strict=True)], hours)
        for placed in itertools.product(*places)
    ]
    assert point.least <= min(shares) + 1e-9
    assert point.most >= max(shares) - 1e-9
    assert min(shares) - point.least < 0.03
    assert point.most - max(shares) < 0.12, "the most is that of returns at the very scan before, a little above"
    assert point.low <= point.least <= point.most <= point.high


def test_hours_that_are_known_leave_one_share():
    exact = holding_curve([Held(hours, back) for hours, back, _ in ROWS])
    same = holding_curve([Held(hours, back, least_hours=hours) for hours, back, _ in ROWS])
    assert exact == same
    assert not exact.is_between
    assert all(point.least == point.most for point in exact.points)


def test_a_share_between_scans_is_said_as_one():
    curve = holding_curve(held())
    assert curve.at(60).words == "57% to 69%"  # 0.8 × 5/7 and 0.8 × 6/7
    assert "When they came back is only known between two scans." in curve.sentence
    assert curve.median_low_h is None or curve.median_low_h <= curve.median_least_h <= curve.median_h


def test_returns_that_nobody_followed_leave_almost_everything_open():
    # six came back when nobody had looked before, four are never scanned: 40 % to 100 % at any early hour
    rows = [(20 + at, True, 0) for at in range(6)] + [(0, False, None)] * 4
    point = Followed(held(rows), reach=1.96, confidence=0.95)
    assert (point.most(21).share, point.least(21).share) == (pytest.approx(0.8), pytest.approx(0.0))
    assert point.most(19).share == 1.0


def test_none_of_a_few_left_is_not_certain_of_all():
    curve = holding_curve([Held(10, True)] * 3 + [Held(20, True)] * 2)
    assert (curve.at(20).share, curve.at(20).low) == (0.0, 0.0)
    assert curve.at(20).high == pytest.approx(1 - 0.025**0.5)


@pytest.mark.parametrize(("hours", "least"), [(10, 11), (10, -1), (10, math.nan)])
def test_a_bracket_that_cannot_be_is_refused(hours, least):
    with pytest.raises(RecurrenceProblem):
        holding_curve([*held(), Held(hours, True, least_hours=least)])


def test_sixty_five_thousand_repairs_take_no_longer_than_a_breath():
    import time

    rows = [Held((at * 7919 % 19990) / 10, at % 5 != 0, 1, at % 10_000, 0.0) for at in range(65_000)]
    began = time.process_time()
    curve = holding_curve(rows, fewest_at_risk=5)
    assert curve.repairs == 65_000
    assert time.process_time() - began < 6  # under 1.5 s on a quiet core


# ---- early or late, and one repair against another


def test_between_scans_a_shape_is_only_said_where_it_stands_for_all_placings():
    import numpy as np

    rng = np.random.default_rng(5)
    hours = sorted(float(one) for one in 100 * rng.weibull(3, 40))
    sharp = fit_weibull([Held(one, True, least_hours=one) for one in hours])
    narrow = fit_weibull([Held(one, True, least_hours=0.98 * one) for one in hours])
    wide = fit_weibull([Held(one, True, least_hours=0.1 * one) for one in hours])
    assert isinstance(sharp, Weibull)
    assert sharp.shape_low > 1
    assert narrow.shape_low > 1
    assert narrow.shape_low <= sharp.shape_low <= sharp.shape_high <= narrow.shape_high
    assert wide.shape_low < 1 < wide.shape_high
    assert wide.sentence.startswith("Whether they fail early or wear out cannot be told (shape ")
    assert isinstance(fit_weibull([Held(one, True, least_hours=0.0) for one in hours]), NotEnough)


def test_a_sort_that_is_looked_at_more_often_is_not_worse():
    often = [Held(10.0 + at, True, 1, f"o{at}", 0.0) for at in range(20)]
    rarely = [Held(80.0 + at, True, 1, f"r{at}", 0.0) for at in range(20)]
    told = compare_holding(often, rarely, at_hours=50)
    assert told.p_value == 1.0
    assert "scans leave it open" in told.sentence("one", "other")
    assert isinstance(compare_holding(often, rarely), NotEnough)


def test_a_sort_that_is_proven_to_hold_is_better_than_one_that_came_back():
    bad = [Held(10.0 + at, True, 1, f"o{at}", 0.0) for at in range(20)]
    good = [Held(80.0 + at, True, 1, f"r{at}", 70.0) for at in range(20)]
    told = compare_holding(bad, good, at_hours=50)
    assert told.sentence("the old sort", "the new one").startswith(
        "Strong evidence that the new one holds better at 50 h: "
    )
    assert compare_holding(good, bad, at_hours=50).more_back < 0


# ---- the longest that it can have been away


@pytest.mark.parametrize(
    ("evidence", "hours", "days"),
    [
        # active at 100 h, no codes at 100.2 h, active at 100.4 h: it may have been away from 100 h on
        ([seen(0, "100"), at(Absent, 1, "100.2"), seen(2, "100.4")], "0.4", 2),
        ([seen(0, "100"), at(Cleared, 1, "100.2"), seen(2, "100.4")], "0.2", 1),
        ([seen(0, "100"), at(Worked, 1, "100.1"), at(Absent, 2, "100.2"), seen(3, "100.4")], "0.3", 2),
        # cleared at 01:10 and seen at 23:50 of one day: no 0 days, and no more than one
        ([seen(0, None), at(Cleared, 1 + 70 / 1440, None), seen(1 + 1430 / 1440, None)], None, 1),
        # from 00:10 to 23:50 of the next day are nearly two
        ([seen(0, None), at(Cleared, 1 + 10 / 1440, None), seen(2 + 1430 / 1440, None)], None, 2),
        # from 23:50 to 00:10 the calendar counts one
        ([seen(0, None), at(Cleared, 1 + 1430 / 1440, None), seen(2 + 10 / 1440, None)], None, 1),
        ([seen(0, None), at(Cleared, 1, None), seen(20, None)], None, 19),
        ([seen(0, "100"), at(Absent, 1, None), seen(2, "100.4")], None, 2),
    ],
)
def test_the_longest_time_away_is_no_shorter_than_it_can_have_been(evidence, hours, days):
    longest = replay(evidence).longest_away(1)
    assert (longest.hours, longest.days) == (None if hours is None else Decimal(hours), days)
    assert replay(evidence).longest_away(0) is None


def test_a_rate_tells_the_most_hours_that_it_may_rest_on():
    said = coming_back(away_of(replay([seen(0, "100"), at(Absent, 1, "100.2"), seen(2, "100.4")])))
    assert said.details[0].startswith("Once in at most 0.4 h, counted as 0.2 h: seen ")
    assert "in at most 0.4 h without it" in said.sentence
    cleared = coming_back(away_of(replay([seen(0, 100), at(Cleared, 1, 100), seen(2, 140)])))
    assert cleared.details[0].startswith("Once in 40 h: seen ")


@pytest.mark.parametrize(
    ("evidence", "said"),
    [
        (
            [at(Cleared, 1, 100), seen(20, None)],
            "the engine's hours at one return are not known. Note the hour meter with every scan.",
        ),
        (
            [at(Cleared, 1, None), seen(20, 170)],
            "after how many hours one return came is not known. No hours are noted with the clear before: note the "
            "hour meter with every clear.",
        ),
        (
            [at(Worked, 1, None), at(Absent, 2, 120), seen(20, 170)],
            "after how many hours one return came is not known. No hours are noted with the work before: note the "
            "hour meter with every entry of work.",
        ),
        (
            [at(Absent, 2, None), seen(20, 170)],
            "after how many hours one return came is not known. No hours are noted with the scan that found it gone: "
            "note the hour meter with every scan.",
        ),
        (
            [at(Cleared, 1, 200), seen(20, 170)],
            "after how many hours one return came is not known. Hours on record run backward there: check them in the "
            "log.",
        ),
        (
            [at(Cleared, 1, None), seen(20, 170), at(Cleared, 21, 170), seen(40, None)],
            "after how many hours 2 returns came is not known. No hours are noted with the scan that saw it back or "
            "the clear before: note the hour meter with every scan and every clear.",
        ),
        ([at(Cleared, 1, None), at(Absent, 2, 160), seen(20, 170)], "with the clear before"),
    ],
)
def test_what_was_not_noted_is_told_as_it_is(evidence, said):
    found = coming_back(away_of(replay([seen(0, 100), *evidence])))
    assert isinstance(found, NotEnough)
    assert said in found.sentence
    assert found.sentence.startswith("Not enough data to say whether it is coming back more often: ")


@pytest.mark.parametrize(
    ("gone", "least", "hours"),
    [("100", 0, 70), ("100.1", 0, 70)],
)
def test_scans_that_bound_a_clear_to_the_meters_step_tell_its_hours(gone, least, hours):
    away = away_of(replay([seen(0, 100), at(Cleared, 1, None), at(Absent, 2, gone), seen(20, 170)]))
    assert (away.unknown_gaps, away.least, away.gaps_h) == (0, (least,), (hours,))
    assert "are not known" not in coming_back(away).sentence
