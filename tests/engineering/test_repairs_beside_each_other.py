"""Log-rank and Weibull: the same answers as other libraries, what hulls change, and what is said."""

from __future__ import annotations

import warnings

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engineering.recurrence import Held, HoldingComparison, NotEnough, Weibull, compare_holding, fit_weibull

holdings = st.lists(st.tuples(st.integers(1, 300), st.booleans()), min_size=5, max_size=40)


def made(rows, hull=None):
    return [Held(hours, back, hull=None if hull is None else hull(at)) for at, (hours, back) in enumerate(rows)]


@given(holdings, holdings)
@settings(max_examples=25, deadline=None)
def test_log_rank_as_lifelines_has_it(first, second):
    from lifelines.statistics import logrank_test

    answer = compare_holding(made(first), made(second))
    if isinstance(answer, NotEnough):
        return
    theirs = logrank_test(
        [hours for hours, _ in first],
        [hours for hours, _ in second],
        [back for _, back in first],
        [back for _, back in second],
    )
    assert answer.chi_square == pytest.approx(theirs.test_statistic, rel=1e-6, abs=1e-9)
    assert answer.p_value == pytest.approx(theirs.p_value, abs=1e-9)


@pytest.mark.parametrize(("shape", "seed"), [(0.6, 1), (1, 2), (2.5, 3)])
def test_weibull_as_lifelines_and_surpyval_have_it(shape, seed):
    from lifelines import WeibullFitter

    rng = np.random.default_rng(seed)
    times, followed = 100 * rng.weibull(shape, 60), rng.uniform(20, 300, 60)
    hours, back = np.maximum(np.minimum(times, followed), 0.1), times < followed
    answer = fit_weibull([Held(float(t), bool(b)) for t, b in zip(hours, back, strict=True)])
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import surpyval

        one = WeibullFitter().fit(hours, back)
        other = surpyval.Weibull.fit(x=hours, c=(~back).astype(int))
    assert (answer.shape, answer.scale_h) == pytest.approx((one.rho_, one.lambda_), rel=1e-4)
    assert (answer.scale_h, answer.shape) == pytest.approx(tuple(other.params), rel=1e-4)
    error = one.summary.loc["rho_", "se(coef)"] / one.rho_
    assert np.log(answer.shape_high / answer.shape) / 1.959964 == pytest.approx(error, rel=1e-3)


def test_repairs_of_one_hull_count_for_less():
    good = [(150 + at, False) for at in range(12)]
    bad = [(10 + at, True) for at in range(8)] + [(150, False)] * 4
    apart = compare_holding(made(good, lambda at: f"g{at}"), made(bad, lambda at: f"b{at}"))
    together = compare_holding(made(good, lambda at: f"g{at}"), made(bad, lambda at: f"b{at // 4}"))
    assert apart.p_value < 0.01
    assert together.p_value > 3 * apart.p_value
    assert apart.chi_square == together.chi_square
    assert isinstance(compare_holding(made(good, lambda at: at % 2), made(bad, lambda at: at % 2)), NotEnough)


@pytest.mark.parametrize(
    ("first", "second", "words"),
    [
        ([(10 + at, True) for at in range(12)], [(150, False)] * 12, "Strong evidence that cleaning holds better"),
        ([(150, False)] * 12, [(10 + at, True) for at in range(12)], "Strong evidence that a new sender holds better"),
        ([(at, at % 2 == 0) for at in range(12)], [(at, at % 2 == 0) for at in range(12)], "No evidence that one"),
        ([(20, True), (90, False), (80, True), (90, False), (90, False)], [(90, False)] * 5, "No evidence that one"),
        ([(10, True)] * 4, [(90, False)] * 9, "Not enough data to compare: 4 and 9 repairs"),
        ([(90, False)] * 9, [(90, False)] * 9, "0 came back"),
        ([(90, False)] * 8 + [(90, True)], [(90, False)] * 9, "1 came back"),
        ([(5, False)] * 6, [(90, True), (80, True), *[(90, False)] * 4], "while those of the other were"),
    ],
)  # fmt: skip
def test_what_a_careful_shop_would_say(first, second, words):
    answer = compare_holding(made(first), made(second))
    said = answer.sentence("a new sender", "cleaning") if isinstance(answer, HoldingComparison) else answer.sentence
    assert words in said


@pytest.mark.parametrize(
    ("shape", "words"),
    [(0.4, "tend to do so early"), (3.0, "They wear out"), (1.0, "cannot be told")],
)
def test_the_shape_in_words(shape, words):
    rng = np.random.default_rng(5)
    answer = fit_weibull(
        [Held(round(float(100 * one), 1), True, hull=at) for at, one in enumerate(rng.weibull(shape, 40))]
    )
    assert isinstance(answer, Weibull)
    assert words in answer.sentence


def test_few_returns_have_no_shape():
    assert "7 came back" in fit_weibull([Held(10.0 + at, True) for at in range(7)]).sentence
    assert isinstance(fit_weibull([Held(10.0 + at, True, hull=at % 2) for at in range(20)]), NotEnough)
    assert isinstance(fit_weibull([Held(10.0, True)] * 20), NotEnough), "all at one hour"


@given(holdings)
@settings(max_examples=40, deadline=None)
def test_any_record_has_an_answer(rows):
    answer = fit_weibull(made(rows, lambda at: at))
    if isinstance(answer, Weibull):
        assert 0 < answer.shape_low < answer.shape < answer.shape_high
        assert answer.scale_h > 0
    assert answer.sentence.endswith(".")
