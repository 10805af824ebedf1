"""The chances and quantiles of recurrence, against scipy over the whole range in use."""

from __future__ import annotations

import math

import pytest

from engineering.recurrence import distributions as ours

DEGREES = [1, 2, 3, 4, 5, 7, 10, 20, 37, 60, 101, 200, 500, 1000, 5000, 40_000, 200_000]
SHARES = [
    1e-9,
    1e-6,
    1e-4,
    0.001,
    0.005,
    0.01,
    0.025,
    0.05,
    0.1,
    0.25,
    0.5,
    0.75,
    0.9,
    0.95,
    0.975,
    0.99,
    0.995,
    0.9999,
]


@pytest.mark.parametrize("degrees", DEGREES)
def test_chi_square_quantiles(degrees):
    from scipy import stats

    for share in SHARES:
        assert ours.chi_square_quantile(share, degrees) == pytest.approx(stats.chi2.ppf(share, degrees), rel=2e-9)


@pytest.mark.parametrize("degrees", DEGREES)
def test_chi_square_chances(degrees):
    from scipy import stats

    spread = math.sqrt(2 * degrees)
    for far in range(-6, 13):
        x = max(0.0, degrees + far * spread)
        assert ours.chi_square_below(x, degrees) == pytest.approx(stats.chi2.cdf(x, degrees), rel=1e-9, abs=1e-14)
        assert ours.chi_square_above(x, degrees) == pytest.approx(stats.chi2.sf(x, degrees), rel=1e-8, abs=1e-200)


def test_normal_chances_and_quantiles():
    from scipy import stats

    for share in SHARES:
        assert ours.normal_quantile(share) == pytest.approx(stats.norm.ppf(share), abs=1e-12)
    for z in [-8, -3.3, -1.96, -0.1, 0, 0.5, 1.6449, 2.5758, 6]:
        assert ours.normal_below(z) == pytest.approx(stats.norm.cdf(z), rel=1e-12)
        assert ours.normal_two_sided(z) == pytest.approx(2 * stats.norm.sf(abs(z)), rel=1e-12)


@pytest.mark.parametrize("a", [1, 2, 3, 8, 50, 700, 20_000])
@pytest.mark.parametrize("b", [1, 2, 5, 40, 900, 30_000])
def test_beta(a, b):
    from scipy import stats

    for share in (0.005, 0.025, 0.2, 0.5, 0.9, 0.975, 0.995):
        assert ours.beta_quantile(share, a, b) == pytest.approx(stats.beta.ppf(share, a, b), rel=1e-9)
    for x in (0.0, 1e-4, 0.02, 0.3, 0.5, 0.77, 0.999, 1.0):
        assert ours.beta_below(a, b, x) == pytest.approx(stats.beta.cdf(x, a, b), rel=1e-8, abs=1e-14)


def test_binomial_tails():
    from scipy import stats

    for trials in (1, 2, 7, 40, 1000):
        for chance in (0.001, 0.2, 0.5, 0.83):
            for successes in {0, 1, trials // 3, trials // 2, trials}:
                theirs = stats.binom.sf(successes - 1, trials, chance)
                assert ours.binomial_at_least(successes, trials, chance) == pytest.approx(theirs, rel=1e-8, abs=1e-14)


@pytest.mark.parametrize(
    "call",
    [
        lambda: ours.gamma_below(0, 1), lambda: ours.gamma_below(1, -1), lambda: ours.gamma_above(math.nan, 1),
        lambda: ours.gamma_above(1, math.nan), lambda: ours.chi_square_quantile(0, 2),
        lambda: ours.chi_square_quantile(1, 2), lambda: ours.beta_below(0, 1, 0.5), lambda: ours.beta_below(1, 1, 1.5),
        lambda: ours.beta_quantile(1.0, 1, 1), lambda: ours.binomial_at_least(3, 2, 0.5),
        lambda: ours.normal_quantile(0),
        lambda: ours.chi_square_quantile(0.5, -3),
    ],
)  # fmt: skip
def test_what_has_no_chance_is_refused(call):
    with pytest.raises(ValueError):  # noqa: PT011  (the words are for programmers)
        call()


@pytest.mark.parametrize("degrees", [0.5, 1, 2, 3.3, 7, 30, 250])
def test_student_quantiles(degrees):
    from scipy import stats

    for share in (0.005, 0.025, 0.2, 0.5, 0.9, 0.975, 0.9995):
        assert ours.t_quantile(share, degrees) == pytest.approx(stats.t.ppf(share, degrees), rel=1e-8, abs=1e-12)


@pytest.mark.parametrize(("first", "second"), [(3, 4), (5, 6), (20, 21)])
def test_quantiles_of_a_product_of_gamma_values(first, second):
    from scipy import integrate, stats

    for share in (0.025, 0.975):
        found = ours.gamma_product_quantile(share, first, second)
        below, _ = integrate.quad(
            lambda x, v=found: stats.gamma.pdf(x, first) * stats.gamma.cdf(v / x, second), 0, 20 * first, limit=200
        )
        assert below == pytest.approx(share, abs=0.0012)
