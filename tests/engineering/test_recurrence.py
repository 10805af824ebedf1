"""Recurrence: own behavior, properties, and the same answers as other libraries on any record."""

from __future__ import annotations

import math
import warnings
from datetime import UTC, datetime, timedelta
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engineering.codes import CodeStatus
from engineering.faults import Absent, Cleared, Seen, replay
from engineering.recurrence import (
    Away,
    ComingBack,
    Direction,
    EventRecord,
    Held,
    HoldingCurve,
    MeanCount,
    NotEnough,
    PowerLaw,
    RecurrenceProblem,
    Strength,
    TrendTest,
    away_of,
    coming_back,
    compare_rates,
    fit_power_law,
    holding_curve,
    laplace_of_sums,
    laplace_test,
    mean_cumulative_function,
    mean_time_between,
    military_handbook_test,
    poisson_rate,
    pooled_rate,
    record_of,
    reverse_arrangements_test,
    seeable_trend,
    strength_of,
    sums_of,
    zero_event_bound,
)
from engineering.recurrence.distributions import chi_square_quantile
from engineering.recurrence.wording import figure, percent

DAY = datetime(2026, 1, 1, tzinfo=UTC)
distinct_events = st.lists(st.integers(1, 9_999), min_size=4, max_size=30, unique=True).map(sorted)


@pytest.fixture(scope="module")
def surpyval():
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import surpyval
        import surpyval.recurrent
        import surpyval.recurrent.tests
    return surpyval


# ---- records


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda: record_of([1, math.nan], 5), "ordinary number"), (lambda: record_of([1], math.inf), "ordinary number"),
        (lambda: record_of([-1], 5), "negative"), (lambda: record_of([], 0), "more than 0"),
        (lambda: record_of([6], 5), "after the end"), (lambda: EventRecord((3, 2), 5), "in order"),
        (lambda: record_of([]), "at least one event"),
        (lambda: EventRecord((3,), 5, ends_with_event=True), "last event"),
        (lambda: poisson_rate(-1, 10), "negative"), (lambda: poisson_rate(1, 0), "more than 0"),
        (lambda: poisson_rate(1, 10, confidence=0.2), "50 %"),
        (lambda: poisson_rate(1, 10, confidence=math.nan), "50 %"),
        (lambda: mean_time_between(1, math.nan), "ordinary number"), (lambda: zero_event_bound(-3), "more than 0"),
        (lambda: compare_rates(1, 10, 1, -5), "more than 0"), (lambda: holding_curve([Held(-1, True)]), "negative"),
        (lambda: holding_curve([Held(1, True, 0)]), "at least one repair"),
        (lambda: Away((math.inf,), None), "ordinary"),
        (lambda: fit_power_law([], confidence=1), "50 %"), (lambda: mean_cumulative_function([], confidence=2), "50 %"),
    ],
)  # fmt: skip
def test_what_makes_no_sense_is_refused_with_a_sentence(make, words):
    with pytest.raises(RecurrenceProblem) as refused:
        make()
    assert words in refused.value.sentence
    assert refused.value.field


def test_a_record_without_an_end_ends_with_its_last_event():
    record = record_of([30, 10, 20])
    assert record.ends_with_event
    assert (record.observed_h, record.usable) == (30, (10, 20))


# ---- trends


@given(distinct_events, st.integers(0, 5000))
@settings(max_examples=60, deadline=None)
def test_an_even_scale_changes_nothing(events, more):
    here = [record_of(events, events[-1] + more)]
    there = [record_of([3.5 * hours for hours in events], 3.5 * (events[-1] + more))]
    for test in (laplace_test, military_handbook_test):
        assert test(here).p_value == pytest.approx(test(there).p_value, rel=1e-9, abs=1e-12)
    one, other = fit_power_law(here), fit_power_law(there)
    if isinstance(one, PowerLaw):
        assert (one.shape, one.mtbf_now_h * 3.5) == pytest.approx((other.shape, other.mtbf_now_h))
        assert one.shape_low < one.shape < one.shape_high


@given(distinct_events, st.integers(1, 5000))
@settings(max_examples=40, deadline=None)
def test_laplace_is_mirrored_when_time_runs_backward(events, more):
    end = events[-1] + more
    forward = laplace_test([record_of(events, end)])
    backward = laplace_test([record_of([end - hours for hours in events], end)])
    assert forward.statistic == pytest.approx(-backward.statistic, abs=1e-9)


@given(st.lists(st.tuples(distinct_events, st.integers(1, 3000)), min_size=1, max_size=4))
@settings(max_examples=25, deadline=None)
def test_as_another_library_says_on_any_fleet(surpyval, fleet):
    import numpy as np

    records = [record_of(events, events[-1] + more) for events, more in fleet]
    x = [hours for record in records for hours in record.event_hours]
    i = [index for index, record in enumerate(records) for _ in record.event_hours]
    ends = {index: record.observed_h for index, record in enumerate(records)}
    tests = surpyval.recurrent.tests
    for ours, theirs in ((laplace_test, tests.laplace), (military_handbook_test, tests.mil_hdbk_189c)):
        expected = theirs(np.array(x, float), i=np.array(i), T=ends)
        answer = ours(records)
        assert answer.statistic == pytest.approx(expected.statistic, rel=1e-9, abs=1e-9)
        assert answer.p_value == pytest.approx(expected.p_value, rel=1e-7, abs=1e-12)


def test_laplace_from_sums_is_laplace():
    records = [record_of([10, 30, 70], 100), record_of([5, 8], 50)]
    offset = sum(hours - record.observed_h / 2 for record in records for hours in record.event_hours)
    variance = sum(record.observed_h**2 / 12 for record in records for _ in record.event_hours)
    assert laplace_of_sums(offset, variance, 5) == laplace_test(records)


def test_pooling_sees_what_no_single_hull_shows():
    each = record_of([70, 90], 100)
    assert isinstance(laplace_test([each]), NotEnough)
    together = laplace_test([each] * 6)
    assert isinstance(together, TrendTest)
    assert (together.direction, together.strength) == (Direction.MORE_OFTEN, Strength.STRONG)
    assert "Strong evidence that it comes more often" in together.sentence


def test_hulls_that_differ_in_rate_are_no_trend():
    # many events on a hull observed briefly, few on one observed long: spread evenly on both
    records = [record_of([10, 30, 50, 70, 90], 100), record_of([2500, 7500], 10_000)]
    assert laplace_test(records).strength is Strength.NONE


def test_every_event_at_the_very_end_is_no_fit():
    assert isinstance(fit_power_law([record_of([100], 100)] * 5), NotEnough)


def test_strength_has_borders_and_words():
    assert [strength_of(p) for p in (0.01, 0.05, 0.1, 0.11)] == list(Strength)


def test_equal_times_between_neither_grow_nor_shrink():
    answer = reverse_arrangements_test(record_of([10, 20, 30, 40, 50], 60))
    assert (answer.statistic, answer.p_value) == (0, 1)


def test_reverse_arrangements_beyond_the_exact_count():
    hours = [float(sum(range(1, count + 1))) for count in range(1, 16)]
    answer = reverse_arrangements_test(record_of(hours, 200))
    assert (answer.statistic, answer.leans) == (105, Direction.LESS_OFTEN)
    assert answer.p_value < 1e-6


# ---- rates


@given(st.integers(0, 400), st.floats(1, 1e5), st.sampled_from([0.8, 0.9, 0.95, 0.99]))
@settings(max_examples=60, deadline=None)
def test_exact_bounds_as_scipy_has_them(count, hours, confidence):
    from scipy import stats

    rate = poisson_rate(count, hours, confidence=confidence)
    alpha = 1 - confidence
    low = stats.chi2.ppf(alpha / 2, 2 * count) / 2 if count else 0
    assert rate.low_per_hour * hours == pytest.approx(low, rel=1e-8)
    assert rate.high_per_hour * hours == pytest.approx(stats.chi2.ppf(1 - alpha / 2, 2 * count + 2) / 2, rel=1e-8)
    assert rate.low_per_hour <= rate.per_hour < rate.high_per_hour


@given(st.integers(0, 60), st.floats(1, 1e4), st.integers(0, 60), st.floats(1, 1e4))
@settings(max_examples=60, deadline=None)
def test_comparison_as_scipy_has_it(k1, t1, k2, t2):
    from scipy import stats

    answer = compare_rates(k1, t1, k2, t2)
    if not k1 + k2:
        assert isinstance(answer, NotEnough)
        return
    share = t2 / (t1 + t2)
    tails = [stats.binomtest(k2, k1 + k2, share, side).pvalue for side in ("less", "greater")]
    assert answer.p_value == pytest.approx(min(1, 2 * min(tails)), rel=1e-7, abs=1e-12)
    bounds = stats.binomtest(k2, k1 + k2).proportion_ci(0.95, "exact")
    if k1:
        assert answer.ratio_high == pytest.approx(bounds.high / (1 - bounds.high) * t1 / t2, rel=1e-6)
        assert answer.ratio_low <= answer.ratio * (1 + 1e-12) <= answer.ratio_high * (1 + 2e-12)
    else:
        assert math.isinf(answer.ratio)
        assert math.isinf(answer.ratio_high)
    if k2:
        assert answer.ratio_low == pytest.approx(bounds.low / (1 - bounds.low) * t1 / t2, rel=1e-6)
    assert compare_rates(k2, t2, k1, t1).p_value == pytest.approx(answer.p_value, rel=1e-7, abs=1e-12)


def test_mean_time_that_ends_with_an_event_is_bounded_closer():
    goes_on, ends = mean_time_between(3, 300), mean_time_between(3, 300, ends_with_event=True)
    assert goes_on.low_h < ends.low_h < 100 < ends.high_h == goes_on.high_h


def test_watching_that_ends_with_an_event_bounds_the_rate_lower():
    ends, goes_on = poisson_rate(4, 100, ends_with_event=True), poisson_rate(4, 100)
    assert ends.low_per_hour == poisson_rate(3, 100).low_per_hour
    assert (ends.per_hour, ends.high_per_hour) == (goes_on.per_hour, goes_on.high_per_hour)
    assert poisson_rate(1, 100, ends_with_event=True).low_per_hour == 0
    told = pooled_rate(sums_of([record_of([10, 40, 90])]))
    assert told.low_per_hour == poisson_rate(2, 90).low_per_hour


def test_one_sided_and_two_sided_are_told_apart():
    # 3.69 hours' worth of events against 3.00: the same record, the same 95 %, and two different questions
    assert poisson_rate(0, 500).high_per_hour * 500 == pytest.approx(-math.log(0.025))
    assert 500 / zero_event_bound(500) == pytest.approx(-math.log(0.05))
    assert poisson_rate(0, 500).sentence.endswith("(95% sure, two-sided).")
    assert mean_time_between(0, 500).sentence.endswith("(95% sure, one-sided).")
    assert holding_curve([Held(100, False)] * 6).sentence.endswith("(95% sure, one-sided).")


def test_rates_in_words():
    assert poisson_rate(3, 1000).sentence == (
        "3 times in 1,000 h: 0.3 per 100 h, in the long run anything from 0.062 to 0.88 (95% sure)."
    )
    assert (
        poisson_rate(0, 500).sentence == "Never in 500 h: in the long run at most 0.74 per 100 h (95% sure, two-sided)."
    )
    assert mean_time_between(0, 300).sentence.startswith("Nothing in 300 h. If it comes at a steady rate at all")
    assert "once in 127 to 2,250 h (90% sure)" in mean_time_between(2, 800, confidence=0.9).sentence
    assert compare_rates(1, 100, 20, 100).sentence.startswith("Strong evidence that the second is more often")
    assert compare_rates(2, 100, 3, 100).sentence.startswith("No evidence that the two differ")


@pytest.mark.parametrize(
    ("value", "significant", "words"),
    [
        (0, 3, "0"),
        (1234.56, 3, "1,230"),
        (119.6, 2, "120"),
        (0.06187, 2, "0.062"),
        (84.5, 4, "84.5"),
        (999.96, 3, "1,000"),
    ],
)
def test_figures_have_no_exponents(value, significant, words):
    assert figure(value, significant) == words


def test_a_share_is_never_rounded_to_all_or_nothing():
    assert [percent(share) for share in (0, 0.001, 0.43, 0.999, 1)] == ["0%", "under 1%", "43%", "over 99%", "100%"]


# ---- rates over hulls


def hulls_of(*counts, hours=100.0):
    """Hulls watched for as long, each with events spread evenly."""
    return sums_of([record_of([hours * at / (n + 1) for at in range(1, n + 1)], hours) for n in counts])


def test_one_hull_is_its_own_rate():
    told, alone = pooled_rate(hulls_of(4)), poisson_rate(4, 100)
    assert (told.low_per_hour, told.high_per_hour) == (alone.low_per_hour, alone.high_per_hour)


def test_hulls_that_differ_widen_the_bounds():
    alike, differ = pooled_rate(hulls_of(*[3] * 10)), pooled_rate(hulls_of(*[0] * 8, 15, 15))
    exact = poisson_rate(30, 1000)
    assert alike.per_hour == differ.per_hour == exact.per_hour
    assert alike.low_per_hour <= exact.low_per_hour
    assert alike.high_per_hour >= exact.high_per_hour
    assert differ.low_per_hour < alike.low_per_hour / 2
    assert differ.high_per_hour > 2 * alike.high_per_hour


@pytest.mark.parametrize("counts", [(2, 3), (5, 0, 1), (0, 0)])
def test_few_hulls_give_no_bounds(counts):
    told = pooled_rate(hulls_of(*counts))
    assert (told.low_per_hour, told.high_per_hour) == (None, None)
    assert told.why == "too few hulls, or most hours on a few of them"


def test_one_hull_with_most_of_the_hours_does_not_count_for_many():
    sums = sums_of([record_of([50], 5000), *(record_of([5], 10) for _ in range(9))])
    assert sums.alike < 1.1
    assert pooled_rate(sums).high_per_hour is None


def test_where_boats_come_only_when_it_is_back_there_is_no_lower_bound():
    told = pooled_rate(
        sums_of([record_of([30, 90]), record_of([60]), record_of([20, 45]), record_of([80, 95, 120])] * 3)
    )
    assert told.low_per_hour is None
    assert told.why == "boats were seen mainly when it was back"
    assert told.high_per_hour > told.per_hour


def test_nothing_seen_on_hulls_that_may_differ_says_less_than_on_one():
    assert pooled_rate(hulls_of(*[0] * 5)).high_per_hour == pytest.approx(5 / 500 * (0.025**-0.2 - 1))
    assert pooled_rate(hulls_of(*[0] * 5)).high_per_hour > poisson_rate(0, 500).high_per_hour


# ---- mean cumulative function


@given(st.lists(st.tuples(distinct_events, st.integers(1, 3000)), min_size=3, max_size=8))
@settings(max_examples=25, deadline=None)
def test_mean_count_as_another_library_has_it(surpyval, fleet):
    import numpy as np

    records = [record_of(events, events[-1] + more) for events, more in fleet]
    x, i, c = [], [], []
    for index, record in enumerate(records):
        x += [*record.event_hours, record.observed_h]
        i += [index] * (len(record.event_hours) + 1)
        c += [0] * len(record.event_hours) + [1]
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        theirs = surpyval.recurrent.NonParametricCounting.fit(np.array(x, float), i=np.array(i), c=np.array(c))
    means = dict(zip(theirs.x.tolist(), theirs.mcf_hat.tolist(), strict=True))
    answer = mean_cumulative_function(records)
    assert isinstance(answer, MeanCount)
    for point in answer.points:
        assert point.mean == pytest.approx(means[point.hours], rel=1e-9)
        assert (0 if point.at_risk == 1 else 1e-300) <= point.low <= point.mean <= point.high


def test_mean_count_needs_events_and_hulls():
    for records in ([], [record_of([], 10)] * 5, [record_of([5], 10)] * 2):
        assert isinstance(mean_cumulative_function(records), NotEnough)


def test_mean_count_in_words_stops_where_few_are_left():
    answer = mean_cumulative_function([record_of([10, 40], 50), record_of([20], 30), record_of([20, 25], 30)])
    assert answer.points[-1].at_risk == 1
    assert answer.sentence.startswith("By 25 h one of them has had 1.3 events on average")


# ---- how long repairs hold

holdings = st.lists(st.tuples(st.integers(0, 400), st.booleans()), min_size=5, max_size=60)


@given(holdings)
@settings(max_examples=15, deadline=None)
def test_holding_as_lifelines_has_it(rows):
    from lifelines import KaplanMeierFitter

    answer = holding_curve([Held(hours, back) for hours, back in rows])
    if sum(back for _, back in rows) < 2:
        assert isinstance(answer, NotEnough)
        return
    assert isinstance(answer, HoldingCurve)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        theirs = KaplanMeierFitter().fit([hours for hours, _ in rows], [back for _, back in rows])
    shares, bounds = theirs.survival_function_["KM_estimate"], theirs.confidence_interval_
    for point in answer.points:
        assert point.share == pytest.approx(shares.loc[point.hours], abs=1e-9)
        if 0 < point.share < 1:
            assert point.low == pytest.approx(bounds.loc[point.hours].iloc[0], abs=1e-9)
            assert point.high == pytest.approx(bounds.loc[point.hours].iloc[1], abs=1e-9)
    median = theirs.median_survival_time_
    if all(abs(point.share - 0.5) > 1e-9 for point in answer.points):  # at one half exactly, its rounding decides
        assert answer.median_h == (None if math.isinf(median) else median)


@given(holdings)
@settings(max_examples=40, deadline=None)
def test_rows_counted_together_are_the_same_as_one_by_one(rows):
    one_by_one = holding_curve([Held(hours, back) for hours, back in rows])
    counted = {row: rows.count(row) for row in rows}
    assert holding_curve([Held(hours, back, many) for (hours, back), many in counted.items()]) == one_by_one


@given(holdings)
@settings(max_examples=40, deadline=None)
def test_the_share_only_falls_and_stays_between_its_bounds(rows):
    answer = holding_curve([Held(hours, back) for hours, back in rows])
    if isinstance(answer, NotEnough):
        return
    shares = [1.0, *(point.share for point in answer.points)]
    assert shares == sorted(shares, reverse=True)
    assert all(0 <= point.low <= point.share <= point.high <= 1 for point in answer.points)
    assert answer.at(answer.longest_h + 1) is None
    assert answer.at(-1).share == 1


def test_a_curve_in_words():
    held = [Held(20, True), Held(40, True), Held(60, False), Held(80, False), Held(90, False)]
    answer = holding_curve(held)
    assert answer.median_h is None
    assert answer.sentence == (
        "2 of 5 repairs came back. After 40 h 60% of all repairs still hold (13% to 88%, 95% sure); up to 90 h, as far "
        "as this goes, more than half of them hold."
    )
    reached = holding_curve([Held(20, True), Held(40, True), Held(50, True), Held(80, False), Held(90, False)])
    assert "Of all repairs, half have come back by 50 h (95% sure: from 20 h, no upper bound yet)." in reached.sentence


def test_too_few_repairs_say_so_and_what_can_be_said():
    answer = holding_curve([Held(100, False)] * 6)
    assert isinstance(answer, NotEnough)
    assert "In 600 h together none came back" in answer.sentence
    assert "once in 200 h" in answer.sentence
    assert "0 repairs" in holding_curve([]).sentence


def test_repairs_of_one_hull_that_resemble_each_other_widen_the_band():
    rows = [(20, True, "a"), (22, True, "a"), (24, True, "a"), (26, True, "a")]
    rows += [(150 + at, False, hull) for hull in "bcdefg" for at in range(4)]
    together = holding_curve([Held(hours, back, hull=hull) for hours, back, hull in rows])
    alone = holding_curve([Held(hours, back) for hours, back, _ in rows])
    last, apart = together.points[-1], alone.points[-1]
    assert (last.share, together.hulls) == (apart.share, 7)
    assert last.low < apart.low
    assert last.standard_error > 1.5 * apart.standard_error
    assert together.before_any_return.low < alone.before_any_return.low


def test_each_repair_a_hull_of_its_own_is_nearly_greenwood():
    rows = [(hours, hours % 3 == 0) for hours in range(10, 210, 2)]
    together = holding_curve([Held(hours, back, hull=hours) for hours, back in rows])
    alone = holding_curve([Held(hours, back) for hours, back in rows])
    for mine, theirs in zip(together.points, alone.points, strict=True):
        assert theirs.standard_error <= mine.standard_error <= 1.02 * theirs.standard_error


def test_repairs_of_few_hulls_draw_no_curve():
    answer = holding_curve([Held(hours, hours < 50, hull=hours % 2) for hours in range(10, 100, 7)])
    assert isinstance(answer, NotEnough)
    assert "all or most are of 2 hulls" in answer.sentence


def test_a_curve_ends_where_few_are_followed():
    rows = [Held(10 * at, at % 2 == 0) for at in range(1, 13)]
    answer = holding_curve(rows, fewest_at_risk=5)
    assert (answer.longest_h, answer.ends_early, answer.at(81)) == (80, True, None)
    assert answer.points[-1].hours == 80
    assert "Beyond 80 h too few were followed to say." in answer.sentence
    late = holding_curve([Held(hours, True) for hours in (10, 20)] + [Held(5, False)] * 4, fewest_at_risk=5)
    assert isinstance(late, NotEnough)


# ---- one fault


def seen(day, hours, status=CodeStatus.ACTIVE):
    return Seen(f"s{day}", DAY + timedelta(days=day), _hours(hours), status)


def cleared(day, hours):
    return Cleared(f"c{day}", DAY + timedelta(days=day), _hours(hours))


def absent(day, hours):
    return Absent(f"a{day}", DAY + timedelta(days=day), _hours(hours))


def _hours(hours):
    return None if hours is None else Decimal(str(hours))


def history(gaps, *, away_now, start=100):
    evidence, hours, day = [seen(0, start), cleared(1, start)], start, 10
    for gap in gaps:
        hours += gap
        evidence += [seen(day, hours), cleared(day + 1, hours + 2)]
        hours, day = hours + 2, day + 10
    if away_now:
        evidence.append(absent(day, hours + away_now))
    return replay(evidence)


def test_times_away_are_counted_from_each_clear():
    away = away_of(history([30, 25, 35.5], away_now=120))
    assert (away.gaps_h, away.away_now_h, away.least) == ((30, 25, 35.5), 120, (0, 0, 0))
    assert away.record() == EventRecord((30, 55, 90.5), 210.5)


def test_three_returns_are_facts_and_not_a_trend():
    answer = coming_back(away_of(history([30, 25, 35], away_now=120)))
    assert isinstance(answer, ComingBack)
    assert answer.sentence == (
        "Not enough data to say whether it is coming back more often. It has come back 3 times in 120 h to 210 h "
        "without it. It has now been away for 120 h, longer than ever before; that alone is no proof."
    )
    assert (answer.laplace, answer.military, answer.power_law) == (None, None, None)
    # exactly: the last return would lie so early by chance (90/210)³ of the time
    assert answer.since_last.p_value / 2 == pytest.approx((90 / 210) ** 3)


def test_a_repair_that_holds_far_longer_is_called_helpful():
    answer = coming_back(away_of(history([30, 25, 35], away_now=600)))
    assert answer.sentence.endswith(
        "away for 600 h, longer than chance would explain had it gone on as before: something has changed."
    )


def test_ever_shorter_times_away_are_evidence():
    answer = coming_back(Away((400, 250, 150, 90, 50, 25, 10, 5), None))
    assert (answer.direction, answer.strength) == (Direction.MORE_OFTEN, Strength.STRONG)
    assert answer.sentence.startswith("Strong evidence that it is coming back more often.")
    assert answer.since_last is None


def test_two_tests_count_twice():
    # the smaller p-value of two tests is doubled, so that asking twice makes nothing look surer
    answer = coming_back(Away((160, 110, 100, 60, 30, 10), 5))
    smaller = min(answer.laplace.p_value, answer.military.p_value)
    assert smaller < 0.05 < 2 * smaller
    assert answer.strength is Strength.WEAK
    assert answer.sentence.startswith("Not proven either way")


def test_where_the_record_ends_with_a_return_the_order_of_all_times_away_counts():
    # Laplace and MIL-HDBK-189 have to leave out the last one, and see nothing sure in six times that ever shrink
    answer = coming_back(away_of(history([200, 150, 90, 40, 20, 10], away_now=None)))
    assert min(answer.laplace.p_value, answer.military.p_value) * 2 > 0.05
    assert (answer.strength, answer.direction) == (Strength.STRONG, Direction.MORE_OFTEN)  # twice 2 of 720
    assert any(one.startswith("Reverse arrangements, with the return that ends the record: ") for one in answer.details)


def test_even_times_away_say_what_could_have_been_seen():
    answer = coming_back(Away((50, 60, 40, 55, 45, 50), 30))
    assert answer.sentence == (
        "No trend is seen. It has come back 6 times in 330 h without it. With 6 of them, a trend is seen 4 times in 5 "
        "only from 18 times as many in the second half of these hours as in the first, or 4.2 times as many in the "
        "first as in the second; a smaller one is easily missed."
    )


@pytest.mark.parametrize("events", [4, 6, 12, 40])
def test_a_trend_of_the_size_told_is_seen_four_times_in_five(events):
    import numpy as np

    told = seeable_trend(events)
    rng = np.random.default_rng(events)
    for shape, leans in ((math.log2(told.more + 1), -1), (math.log2(1 / told.less + 1), 1)):
        statistic = -2 * np.log(rng.random((4000, events)) ** (1 / shape)).sum(axis=1)
        bound = chi_square_quantile(0.0125 if leans < 0 else 0.9875, 2 * events)
        seen_it = (statistic < bound) if leans < 0 else (statistic > bound)
        assert seen_it.mean() == pytest.approx(0.8, abs=0.025)


@pytest.mark.parametrize(
    ("away", "words"),
    [
        (Away((), None), "Not enough data: no complete scan has shown it away"),
        (Away((), 0), "Not enough data: no complete scan has shown it away"),
        (Away((), 80), "It has not come back. Never in 80 h"),
        (Away((), 0.4), "It has not come back. 0.4 h without it are too few to say how often it may."),
        (Away((), 19), "19 h without it are too few"),
        (Away((), 20), "Never in 20 h: in the long run at most"),
        (
            Away((), 60, back_on_the_job=1),
            "It was back on the job that was to fix it, which is no return",
        ),
        (Away((30,), 10, unknown_gaps=1), "hours at one return are not known"),
        (Away((), None, unknown_gaps=2), "hours at 2 returns are not known"),
        (Away((0, 0), None), "it came back with no hours run in between, by the readings on record"),
    ],
)
def test_what_cannot_be_told_is_said(away, words):
    answer = coming_back(away)
    assert isinstance(answer, NotEnough)
    assert words in answer.sentence


def test_a_statistic_counts_ties_as_they_are():
    answer = coming_back(Away((0, 20, 30, 40, 50), 10))
    assert isinstance(answer, ComingBack)
    assert answer.laplace.statistic == pytest.approx(
        laplace_test([record_of([0.05, 20, 50, 90, 140], 150)]).statistic, abs=0.01
    )
    assert answer.military.statistic == pytest.approx(2 * sum(math.log(150 / at) for at in (0.05, 20, 50, 90, 140)))
    tied = record_of([10, 10, 10, 40, 60, 90], 100)
    apart = record_of([9.96, 10, 10.04, 40, 60, 90], 100)
    for test in (laplace_test, military_handbook_test):
        assert test([tied]).statistic == pytest.approx(test([apart]).statistic, abs=0.01)
    assert isinstance(fit_power_law([tied]), PowerLaw)


@pytest.mark.parametrize(
    ("events", "observed"),
    [
        ([99] * 5, 100), ([60] * 5, 100), ([1] * 30, 1000), ([10, 10, 10, 40, 90], 100), ([99, 99.1, 99.2, 99.9], 100),
        ([0, 0, 0, 0], 0.05), ([0.2, 0.4, 0.6, 0.9], 1), ([0.1, 0.1, 0.2, 0.9], 500), ([100] * 9, None),
    ],
)  # fmt: skip
def test_what_came_on_three_occasions_tells_of_no_trend(events, observed):
    record = record_of(events, observed)
    for test in (laplace_test, military_handbook_test, fit_power_law):
        answer = test([record])
        assert isinstance(answer, NotEnough)
        assert "occasion" in answer.sentence or "not an hour long" in answer.sentence


def test_one_event_on_average_is_one_event():
    told = mean_cumulative_function([record_of([10], 100)] * 3).sentence
    assert told.startswith("By 10 h one of them has had 1 event on average, in the long run")


def test_a_burst_is_one_occasion_for_a_trend():
    burst = [record_of([10, 30, 50, 70, 98, 98.1, 98.2, 98.3, 98.5, 98.6], 100)]
    once = [record_of([10, 30, 50, 70, 98], 100)]
    for test in (laplace_test, military_handbook_test):
        assert test(burst).p_value >= test(once).p_value
        assert not test(burst).strength.says_something
        assert "10 events on 5 occasions" in test(burst).sentence
    fit, alone = fit_power_law(burst), fit_power_law(once)
    assert (fit.shape_low, fit.mtbf_now_high_h) == (alone.shape_low, alone.mtbf_now_high_h)
    ordered = reverse_arrangements_test(record_of([10, 20, 30, 40, 40, 40, 40, 40]))
    assert isinstance(ordered, TrendTest)
    assert not ordered.strength.says_something


def test_tests_that_lean_to_two_sides_find_nothing():
    both = [record_of([10, 20, 30, 45, 90, 90, 90, 90, 90, 90, 90, 90], 100)]
    assert laplace_test(both).leans is Direction.MORE_OFTEN
    assert laplace_test(both).p_value == 1.0
    assert laplace_test(both).sentence.startswith("No trend is seen in the 12 events on 5 occasions")


def test_a_fault_that_came_back_at_once_again_and_again():
    answer = coming_back(Away((20, 30, 25, 40, 0, 0, 0, 0), None))
    assert isinstance(answer, ComingBack)
    assert not answer.strength.says_something
    assert "Returns less than 1 h of running apart count as one occasion: 7 came on 4 occasions." in answer.details
    quiet = coming_back(Away((10, 0, 0, 0, 0), 90))
    assert "something has changed" not in quiet.sentence
    assert quiet.rate.low_per_hour == poisson_rate(1, 100).low_per_hour


def test_hours_that_are_not_known_are_not_guessed():
    evidence = [seen(0, 100), cleared(1, 100), seen(20, None), cleared(21, 130), absent(40, 200)]
    away = away_of(replay(evidence))
    assert (away.gaps_h, away.away_now_h, away.unknown_gaps) == ((), 70, 1)


def test_a_return_first_seen_stored_may_be_older():
    evidence = [seen(0, 100), cleared(1, 100), seen(20, 150, CodeStatus.STORED)]
    answer = coming_back(away_of(replay(evidence)))
    assert (
        answer.details[-1]
        == "One return was first seen as a stored code: it may have come back sooner than is counted."
    )


@given(st.lists(st.integers(0, 300), max_size=12), st.none() | st.integers(0, 500))
@settings(max_examples=80, deadline=None)
def test_every_history_gets_a_sentence(gaps, away_now):
    answer = coming_back(Away(tuple(map(float, gaps)), None if away_now is None else float(away_now)))
    assert answer.sentence.endswith(".")
    if isinstance(answer, ComingBack) and len(set(gaps)) < 4:
        assert not answer.strength.says_something or answer.laplace is not None
