"""Recurrence against published figures: each case names its source; traps of reference libraries are tests as well."""

from __future__ import annotations

import math
import warnings

import pytest

from engineering.recurrence import (
    EventRecord,
    Held,
    NotEnough,
    compare_rates,
    fit_power_law,
    holding_curve,
    laplace_test,
    mean_cumulative_function,
    mean_time_between,
    military_handbook_test,
    poisson_rate,
    record_of,
    reverse_arrangements_test,
    zero_event_bound,
)
from engineering.recurrence.reverse_arrangements import reverse_arrangements_z

# NIST/SEMATECH e-Handbook of Statistical Methods 8.2.3.4, the case of ten repairs in 1500 h (formulas read; the data
# and the handbook's rounded figures are from memory, and the recomputation reproduces every one of them).
NIST_REPAIRS = [5, 40, 43, 175, 389, 712, 747, 795, 1299, 1478]
NIST_END_H = 1500
TIME_TRUNCATED = [record_of(NIST_REPAIRS, NIST_END_H)]
FAILURE_TRUNCATED = [record_of(NIST_REPAIRS)]

# ReliaWiki, "Crow-AMSAA Parameter Estimation Example" (January 2024): 22 failures, the last of which ended the test.
DEVELOPMENT = record_of(
    [2.7, 10.3, 12.5, 30.6, 57.0, 61.3, 80.0, 109.5, 125.0, 128.6, 143.8, 167.9, 229.2, 296.7, 320.6, 328.2, 366.2,
     396.7, 421.1, 438.2, 501.2, 620.0]
)  # fmt: skip

# Nelson and Doganaksoy (1989), Nelson (1995): valve seats replaced on 41 diesel engines; days observed, then the days
# of replacements. From memory; the robust variance at 653 days agrees with the one that another implementation prints.
VALVE_SEATS = """
761/ 759/ 667/98 667/326,653,653 665/ 667/84 663/87 653/646 653/92 651/ 650/258,328,377,621 648/61,539
644/254,276,298,640 642/76,538 641/635 649/349,404,561 631/ 596/ 614/120,479 582/323,449 589/139,139 593/ 589/573
606/165,408,604 594/249 613/344,497 595/265,586 389/166,206,348 601/ 601/410,581 611/ 608/ 587/ 603/367
585/202,563,570 587/ 578/ 578/ 586/ 585/ 582/
"""

# Freireich et al., Blood 21 (1963) 699: weeks in remission under 6-MP; a plus is still in remission.
REMISSIONS = "6,6,6,6+,7,9+,10,10+,11+,13,16,17+,19+,20+,22,23,25+,32+,32+,34+,35+"


def valve_seats() -> list[EventRecord]:
    records = []
    for engine in VALVE_SEATS.split():
        observed, _, replaced = engine.partition("/")
        days = tuple(float(day) for day in replaced.split(",") if day)
        records.append(EventRecord(days, float(observed)))
    return records


def remissions() -> list[Held]:
    return [Held(float(weeks.rstrip("+")), not weeks.endswith("+")) for weeks in REMISSIONS.split(",")]


# ---- NIST e-Handbook 8.2.3.4: is there a trend?


def test_nist_times_between_repairs():
    # NIST/SEMATECH e-Handbook 8.2.3.4, the case's second column (from memory)
    between = [later - earlier for earlier, later in zip([0, *NIST_REPAIRS], NIST_REPAIRS, strict=False)]
    assert between == [5, 35, 3, 132, 214, 323, 35, 48, 504, 179]


def test_nist_laplace():
    # NIST/SEMATECH e-Handbook 8.2.3.4: −1.33, one-sided p 0.0923
    answer = laplace_test(TIME_TRUNCATED)
    assert answer.statistic == pytest.approx(-1.32695, abs=5e-6)
    assert answer.p_one_sided == pytest.approx(0.0923, abs=5e-5)


def test_nist_military_handbook():
    # NIST/SEMATECH e-Handbook 8.2.3.4: χ² 37.23 with 20 degrees of freedom; upper p 0.01099
    answer = military_handbook_test(TIME_TRUNCATED)
    assert answer.statistic == pytest.approx(37.228, abs=5e-4)
    assert answer.events == 10
    assert answer.p_one_sided == pytest.approx(0.01099, abs=5e-6)
    assert answer.leans == "less often"


def test_nist_reverse_arrangements():
    # NIST/SEMATECH e-Handbook 8.2.3.4: 33 of 45 (from memory); z 1.968 by the handbook's formula
    answer = reverse_arrangements_test(TIME_TRUNCATED[0])
    assert answer.statistic == 33
    assert reverse_arrangements_z(33, 10) == pytest.approx(1.968, abs=5e-4)
    assert answer.leans == "less often"


def test_reverse_arrangements_that_are_rare_by_chance():
    # NIST/SEMATECH e-Handbook 8.2.3.4, by its table (from memory): all 6 pairs of 4 times grow once in 24 orders;
    # 33 pairs of 10 times pass the 5 % value and not the 1 % value
    assert reverse_arrangements_test(record_of([1, 3, 6, 10], 20)).p_one_sided == pytest.approx(1 / 24)
    answer = reverse_arrangements_test(TIME_TRUNCATED[0])
    assert 0.01 < answer.p_one_sided < 0.05


def test_nist_case_failure_truncated():
    # the same case, two independent implementations of the check values: Laplace −1.910959, two-sided p 0.0560
    answer = laplace_test(FAILURE_TRUNCATED)
    assert answer.statistic == pytest.approx(-1.910959, abs=5e-7)
    assert answer.p_value == pytest.approx(0.0560, abs=5e-5)
    assert answer.events == 9


def test_nist_one_sided_is_not_two_sided():
    # trap: NIST prints one-sided p-values, libraries two-sided ones by default
    answer = laplace_test(TIME_TRUNCATED)
    assert answer.p_value == pytest.approx(2 * answer.p_one_sided)
    assert answer.p_value == pytest.approx(0.184525, abs=5e-7)


# ---- NIST e-Handbook 8.4.5.2: the power law


def test_nist_power_law():
    # NIST/SEMATECH e-Handbook 8.4.5.2, by maximum likelihood
    fit = fit_power_law(TIME_TRUNCATED)
    assert fit.shape == pytest.approx(0.537229, abs=5e-7)
    assert fit.scale == pytest.approx(0.196658, abs=5e-7)


def test_nist_growth_slope():
    # NIST/SEMATECH e-Handbook 8.4.5.2 prints 0.516 (from memory)
    fit = fit_power_law(TIME_TRUNCATED)
    assert fit.shape_unbiased == pytest.approx(0.483506, abs=5e-7)
    assert 1 - fit.shape_unbiased == pytest.approx(0.516, abs=5e-4)


def test_nist_mean_time_at_the_end():
    # NIST/SEMATECH e-Handbook 8.4.5.2 prints 310 h, with the unbiased shape (from memory): T/(r·β)
    fit = fit_power_law(TIME_TRUNCATED)
    assert NIST_END_H / (10 * fit.shape_unbiased) == pytest.approx(310.234, abs=5e-4)
    assert fit.mtbf_now_h == pytest.approx(NIST_END_H / (10 * fit.shape))


def test_nist_bounds_of_the_shape():
    # exact bounds by chi-square (formula), 90 %
    fit = fit_power_law(TIME_TRUNCATED, confidence=0.90)
    assert fit.shape_low == pytest.approx(0.29147, abs=5e-6)
    assert fit.shape_high == pytest.approx(0.84373, abs=5e-6)


def test_nist_power_law_failure_truncated():
    # the same case ended by its last repair, two independent implementations of the check values
    fit = fit_power_law(FAILURE_TRUNCATED)
    assert fit.shape == pytest.approx(0.541527, abs=5e-7)
    assert fit.scale == pytest.approx(0.192103, abs=5e-7)


def test_the_power_law_and_the_handbook_test_agree():
    # β̂ = 2r/χ² (NIST/SEMATECH e-Handbook 8.2.3.4 and 8.4.5.2, the same sum)
    test = military_handbook_test(TIME_TRUNCATED)
    assert fit_power_law(TIME_TRUNCATED).shape == pytest.approx(2 * 10 / test.statistic)


# ---- ReliaWiki, Crow-AMSAA


def test_development_sum_of_logarithms():
    # ReliaWiki, "Crow-AMSAA Parameter Estimation Example": Σ ln t = 105.6355
    assert sum(map(math.log, DEVELOPMENT.event_hours)) == pytest.approx(105.6355, abs=5e-5)


def test_development_parameters():
    # ReliaWiki, the same: β 0.6142, λ 0.4239
    fit = fit_power_law([DEVELOPMENT])
    assert fit.shape == pytest.approx(0.6142, abs=5e-5)
    assert fit.scale == pytest.approx(0.4239, abs=5e-5)


def test_development_mean_times():
    # ReliaWiki, the same: instantaneous 45.883 h, cumulative 28.182 h
    fit = fit_power_law([DEVELOPMENT])
    assert fit.mtbf_now_h == pytest.approx(45.883, abs=5e-4)
    assert fit.mtbf_overall_h == pytest.approx(28.182, abs=5e-4)


# ---- NIST e-Handbook 8.4.5.1: a steady rate


def test_nist_steady_rate():
    # NIST/SEMATECH e-Handbook 8.4.5.1: 800 h, 2 failures, 90 %: 400 h, factors 0.3177 and 5.6281 (example from memory)
    answer = mean_time_between(2, 800, confidence=0.90)
    assert answer.mean_h == 400
    assert answer.low_h == pytest.approx(127.07, abs=5e-3)
    assert answer.high_h == pytest.approx(2251.2, abs=5e-2)
    assert answer.low_h / 400 == pytest.approx(0.3177, abs=5e-5)
    assert answer.high_h / 400 == pytest.approx(5.6281, abs=5e-5)


@pytest.mark.parametrize(
    ("failures", "low", "high"),
    [
        # NIST/SEMATECH e-Handbook 8.4.5.1, table of factors, 95 % two-sided (recomputed)
        (1, 0.1795, 39.498), (2, 0.2768, 8.2573), (3, 0.3422, 4.8491), (5, 0.4285, 3.0798), (10, 0.5438, 2.0853),
    ],
)  # fmt: skip
def test_factors_of_the_mean_time(failures, low, high):
    answer = mean_time_between(failures, 1000 * failures)
    assert answer.low_h / 1000 == pytest.approx(low, abs=5e-5)
    assert answer.high_h / 1000 == pytest.approx(high, rel=2e-5)


@pytest.mark.parametrize(("confidence", "factor"), [(0.90, 0.4343), (0.95, 0.3338)])
def test_no_failures(confidence, factor):
    # NIST/SEMATECH e-Handbook 8.4.5.1: T/(−ln α), one-sided
    assert zero_event_bound(1, confidence=confidence) == pytest.approx(factor, abs=5e-5)
    none = mean_time_between(0, 1, confidence=confidence)
    assert (none.mean_h, none.high_h) == (None, None)
    assert none.low_h == pytest.approx(factor, abs=5e-5)


# ---- Garwood (1936): exact bounds of a count


@pytest.mark.parametrize(
    ("count", "low", "high"),
    [
        # Garwood, Biometrika 28 (1936), 95 %
        (0, 0, 3.6889), (1, 0.0253, 5.5716), (2, 0.2422, 7.2247), (3, 0.6187, 8.7673), (5, 1.6235, 11.6683),
        (10, 4.7954, 18.3904),
    ],
)  # fmt: skip
def test_garwood(count, low, high):
    rate = poisson_rate(count, 1)
    assert rate.low_per_hour == pytest.approx(low, abs=5e-5)
    assert rate.high_per_hour == pytest.approx(high, abs=5e-5)


def test_three_in_a_thousand_hours():
    # R 4.2, poisson.test(3, T = 1000): 0.0006187 to 0.0087673
    rate = poisson_rate(3, 1000)
    assert rate.low_per_hour == pytest.approx(0.0006187, abs=5e-8)
    assert rate.high_per_hour == pytest.approx(0.0087673, abs=5e-8)


def test_comparison_is_the_conditional_binomial():
    # Przyborowski and Wilenski, Biometrika 31 (1940), from memory: of 11 events, 9 in the second of two equal times.
    # P(at least 9 of 11 at one half) = (55 + 11 + 1)/2048
    answer = compare_rates(2, 500, 9, 500)
    assert answer.p_value == pytest.approx(2 * 67 / 2048)
    assert answer.ratio == pytest.approx(4.5)


# ---- Nelson; Lawless and Nadeau: the mean cumulative function


def test_valve_seats_count():
    # Nelson (1995): 48 replacements on 41 engines
    function = mean_cumulative_function(valve_seats())
    assert (function.records, function.events) == (41, 48)


def test_valve_seats_robust_variance():
    # robust variance at 653 days 0.09713, where the step-by-step form of another library has 0.06446: a trap
    last = mean_cumulative_function(valve_seats()).points[-1]
    assert last.hours == 653
    assert last.variance == pytest.approx(0.09713, abs=5e-6)
    assert abs(last.variance - 0.06446) > 0.03


def test_mean_count_is_a_sum_of_shares():
    # Nelson's estimate by its formula: M(t) = Σ d/n over 1/3, then 1/2 (one record gone), then 1/1
    records = [record_of([10], 15), record_of([20], 25), record_of([30], 30.5)]
    means = [point.mean for point in mean_cumulative_function(records).points]
    assert means == pytest.approx([1 / 3, 1 / 3 + 1 / 2, 1 / 3 + 1 / 2 + 1])


# ---- Kaplan and Meier on the remission data


@pytest.mark.parametrize(
    ("weeks", "share"),
    [(6, 0.857), (7, 0.807), (10, 0.753), (13, 0.690), (16, 0.627), (22, 0.538), (23, 0.448)],
)
def test_remission_shares(weeks, share):
    # Freireich et al., Blood 21 (1963) 699, as tabulated in survival texts
    assert holding_curve(remissions()).at(weeks).share == pytest.approx(share, abs=5e-4)


def test_remission_errors():
    # R 4.2, survival 3.5: standard errors .0764 at 6 weeks and .1346 at 23
    curve = holding_curve(remissions())
    assert curve.at(6).standard_error == pytest.approx(0.0764, abs=5e-5)
    assert curve.at(23).standard_error == pytest.approx(0.1346, abs=5e-5)


def test_remission_median():
    # Freireich et al. (1963): median 23 weeks
    assert holding_curve(remissions()).median_h == 23


def test_remission_bounds_by_log_log():
    # trap: bounds differ by transform; log(−log) at 6 weeks is 0.6197 to 0.9516, R's default (log) 0.720 to 1.000
    at_six = holding_curve(remissions()).at(6)
    assert at_six.low == pytest.approx(0.6197, abs=5e-5)
    assert at_six.high == pytest.approx(0.9516, abs=5e-5)


# ---- what the check values mark as traps


def test_a_rate_counts_events_and_not_the_window():
    # trap: a library gives 11/1478 = 0.0074425 for the NIST case; ten repairs in 1500 h are 0.0066667 an hour
    rate = poisson_rate(len(NIST_REPAIRS), NIST_END_H).per_hour
    assert rate == pytest.approx(0.0066667, abs=5e-8)
    assert rate != pytest.approx(0.0074425, abs=1e-4)


def test_a_window_that_goes_on_is_not_one_that_ends_with_an_event():
    # trap: a library knows failure-truncated records only; the same repairs say something else in a window to 1500 h
    assert fit_power_law(TIME_TRUNCATED).shape != pytest.approx(fit_power_law(FAILURE_TRUNCATED).shape, abs=1e-3)


@pytest.mark.parametrize("events", [[], [10], [10, 20], [10, 20, 30]])
def test_few_events_are_not_enough(events):
    # caveat of the check values: Laplace on fewer than four events
    for test in (laplace_test, military_handbook_test, fit_power_law):
        answer = test([record_of(events, 100)])
        assert isinstance(answer, NotEnough)
        assert answer.sentence.startswith("Not enough data")


def test_tied_events_count_as_they_are():
    # repairs on one day are tied; the formulas of MIL-HDBK-189C (5.16) and Laplace are sums over the events
    hours, end = [10, 20, 20, 30, 40, 70], 100
    tied = [record_of(hours, end)]
    assert laplace_test(tied).statistic == pytest.approx((sum(hours) / 6 / end - 0.5) * math.sqrt(12 * 6))
    assert military_handbook_test(tied).statistic == pytest.approx(2 * sum(math.log(end / one) for one in hours))
    assert not isinstance(fit_power_law(tied), NotEnough)


def test_a_poisson_process_has_one_event_at_a_time():
    # NIST/SEMATECH e-Handbook 8.1.7.1 and 8.2.3.4: the tests are against a homogeneous Poisson process; that in it no
    # two events come at once is its definition (Cox and Lewis, The Statistical Analysis of Series of Events, 1966,
    # chapter 2, from memory). Four events at one reading of the meter are then one event, seen four times.
    for test in (laplace_test, military_handbook_test, fit_power_law):
        assert isinstance(test([record_of([99, 99, 99, 99], 100)]), NotEnough)


def test_another_library_agrees_on_the_nist_case():
    # surpyval 0.25, with the end of observation as a row of its own (its "tr" is a selection, not the end: a trap)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import numpy as np
        from surpyval.recurrent import CrowAMSAA
        from surpyval.recurrent.tests import laplace, mil_hdbk_189c

        fit = CrowAMSAA.fit(np.r_[NIST_REPAIRS, 1500.0], i=np.ones(11), c=np.r_[np.zeros(10), 1])
        theirs = laplace(NIST_REPAIRS, T=1500), mil_hdbk_189c(NIST_REPAIRS, T=1500)
    alpha, beta = fit.params
    ours = fit_power_law(TIME_TRUNCATED)
    assert ours.shape == pytest.approx(beta, rel=1e-6)
    assert ours.scale == pytest.approx(alpha**-beta, rel=1e-5)  # trap: its α and β are not λ and β
    assert laplace_test(TIME_TRUNCATED).statistic == pytest.approx(theirs[0].statistic)
    assert laplace_test(TIME_TRUNCATED).p_value == pytest.approx(theirs[0].p_value)
    assert military_handbook_test(TIME_TRUNCATED).statistic == pytest.approx(theirs[1].statistic)
    assert military_handbook_test(TIME_TRUNCATED).p_value == pytest.approx(theirs[1].p_value)
