"""Chi-square, Poisson, binomial and normal probabilities, as far as recurrence and trend need them.

Series and continued fractions as in Abramowitz and Stegun, *Handbook of Mathematical Functions* (1964), 6.5.29, 6.5.31
and 26.5.8 (from memory); the quantiles by Newton's steps on them, held between bounds. The tests hold all of it against
another implementation over the whole range in use.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import cache
from statistics import NormalDist

_TINY = 1e-300
_CLOSE = 1e-15
_MOST_TERMS = 200_000
_STANDARD = NormalDist()


def normal_two_sided(z: float) -> float:
    """The chance of a standard normal value at least as far from zero as ``z``. Errors: none; NaN gives NaN."""
    return math.erfc(abs(z) / math.sqrt(2))


def normal_below(z: float) -> float:
    """The chance of a standard normal value up to ``z``."""
    return 0.5 * math.erfc(-z / math.sqrt(2))


def normal_quantile(share: float) -> float:
    """The standard normal value with the share (0 to 1, both excluded) below it.

    Raises:
        ValueError: a share out of its range.
    """
    return _STANDARD.inv_cdf(share)


def gamma_below(shape: float, x: float) -> float:
    """The regularized lower incomplete gamma function P(shape, x), without unit. ``shape`` > 0, ``x`` ≥ 0.

    Raises:
        ValueError: a shape or an x out of its range.
    """
    _check_gamma(shape, x)
    return _gamma_series(shape, x) if x < shape + 1 else 1.0 - _gamma_fraction(shape, x)


def gamma_above(shape: float, x: float) -> float:
    """The regularized upper incomplete gamma function Q(shape, x) = 1 − P, exact in its far tail.

    Raises:
        ValueError: a shape or an x out of its range.
    """
    _check_gamma(shape, x)
    return 1.0 - _gamma_series(shape, x) if x < shape + 1 else _gamma_fraction(shape, x)


def _check_gamma(shape: float, x: float) -> None:
    if not (math.isfinite(shape) and shape > 0 and x >= 0):
        raise ValueError(f"no incomplete gamma of shape {shape} at {x}")


def _gamma_series(shape: float, x: float) -> float:
    if x == 0:
        return 0.0
    term = total = 1.0 / shape
    for step in range(1, _MOST_TERMS):
        term *= x / (shape + step)
        total += term
        if term < total * _CLOSE:
            break
    return min(1.0, total * math.exp(shape * math.log(x) - x - math.lgamma(shape)))


def _gamma_fraction(shape: float, x: float) -> float:
    if math.isinf(x):
        return 0.0
    b = x + 1.0 - shape
    c, d = 1.0 / _TINY, 1.0 / b
    product = d
    for step in range(1, _MOST_TERMS):
        a = -step * (step - shape)
        b += 2.0
        d = 1.0 / _not_zero(a * d + b)
        c = _not_zero(b + a / c)
        product *= d * c
        if abs(d * c - 1.0) < _CLOSE:
            break
    return min(1.0, product * math.exp(shape * math.log(x) - x - math.lgamma(shape)))


def _not_zero(value: float) -> float:
    return value if abs(value) > _TINY else _TINY


def chi_square_below(x: float, degrees: float) -> float:
    """The chance of a chi-square value up to ``x``.

    Raises:
        ValueError: degrees of freedom not above zero, or a negative x.
    """
    return gamma_below(degrees / 2, x / 2)


def chi_square_above(x: float, degrees: float) -> float:
    """The chance of a chi-square value above ``x``.

    Raises:
        ValueError: degrees of freedom not above zero, or a negative x.
    """
    return gamma_above(degrees / 2, x / 2)


def chi_square_quantile(share: float, degrees: float) -> float:
    """The chi-square value with the share (0 to 1, both excluded) below it.

    Raises:
        ValueError: a share or degrees of freedom out of their range.
    """
    if not 0 < share < 1:
        raise ValueError(f"no quantile at {share}")
    spread = math.sqrt(2 / (9 * degrees)) if degrees > 0 else 0.0
    guess = degrees * max(1e-8, 1 - spread**2 + normal_quantile(share) * spread) ** 3  # Wilson and Hilferty
    half = degrees / 2

    def density(x: float) -> float:
        return math.exp((half - 1) * math.log(x / 2) - x / 2 - math.lgamma(half)) / 2 if x > 0 else 0.0

    if share > 0.5:
        return _root(lambda x: 1 - share - chi_square_above(x, degrees), density, guess, math.inf)
    return _root(lambda x: chi_square_below(x, degrees) - share, density, guess, math.inf)


def _root(rises: Callable[[float], float], slope: Callable[[float], float], guess: float, most: float) -> float:
    """Where a function that rises from 0 to ``most`` is zero: Newton's steps, halving wherever one would leave."""
    low, high, x = 0.0, most, guess
    for _ in range(2_000):
        error = rises(x)
        if error == 0:
            break
        low, high = (x, high) if error < 0 else (low, x)
        steep = slope(x)
        step = x - error / steep if steep > 0 else low
        if not low < step < high:
            step = 2 * x if math.isinf(high) else (low + high) / 2
        if abs(step - x) <= 4e-16 * x or not low < step < high:
            break
        x = step
    return x


def beta_below(a: float, b: float, x: float) -> float:
    """The regularized incomplete beta function I_x(a, b); ``a`` and ``b`` > 0, ``x`` from 0 to 1.

    Raises:
        ValueError: an argument out of its range.
    """
    if not (a > 0 and b > 0 and 0 <= x <= 1):
        raise ValueError(f"no incomplete beta of {a}, {b} at {x}")
    if x in (0, 1):
        return float(x)
    front = math.exp(math.lgamma(a + b) - math.lgamma(a) - math.lgamma(b) + a * math.log(x) + b * math.log1p(-x))
    if x < (a + 1) / (a + b + 2):
        return min(1.0, front * _beta_fraction(a, b, x) / a)
    return max(0.0, 1.0 - front * _beta_fraction(b, a, 1 - x) / b)


def _beta_fraction(a: float, b: float, x: float) -> float:
    c, d = 1.0, 1.0 / _not_zero(1.0 - (a + b) * x / (a + 1))
    product = d
    for m in range(1, _MOST_TERMS):
        for coefficient in (
            m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m)),
            -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1)),
        ):
            d = 1.0 / _not_zero(1.0 + coefficient * d)
            c = _not_zero(1.0 + coefficient / c)
            product *= d * c
        if abs(d * c - 1.0) < _CLOSE:
            break
    return product


def beta_quantile(share: float, a: float, b: float) -> float:
    """The x from 0 to 1 at which I_x(a, b) is the share (0 to 1, both excluded).

    Raises:
        ValueError: an argument out of its range.
    """
    if not 0 < share < 1:
        raise ValueError(f"no quantile at {share}")
    scale = math.lgamma(a + b) - math.lgamma(a) - math.lgamma(b)

    def density(x: float) -> float:
        return math.exp(scale + (a - 1) * math.log(x) + (b - 1) * math.log1p(-x)) if 0 < x < 1 else 0.0

    return _root(lambda x: beta_below(a, b, x) - share, density, a / (a + b), 1.0)


def binomial_at_least(successes: int, trials: int, chance: float) -> float:
    """The chance of at least so many successes in so many trials.

    Raises:
        ValueError: a count or a chance out of its range.
    """
    if not (0 <= successes <= trials and 0 <= chance <= 1):
        raise ValueError(f"no {successes} of {trials} at {chance}")
    return 1.0 if successes == 0 else beta_below(successes, trials - successes + 1, chance)


def t_quantile(share: float, degrees: float) -> float:
    """Student's t with the share (0 to 1, both excluded) below it; degrees of freedom above zero, not always whole.

    From the beta distribution: Abramowitz and Stegun 26.7.1 (from memory).

    Raises:
        ValueError: a share or degrees of freedom out of their range.
    """
    if not 0 < share < 1:
        raise ValueError(f"no quantile at {share}")
    if share == 0.5:
        return 0.0
    x = beta_quantile(2 * min(share, 1 - share), degrees / 2, 0.5)
    return math.copysign(math.sqrt(degrees * (1 - x) / x), share - 0.5)


def t_two_sided(t: float, degrees: float) -> float:
    """The chance of a value of Student's t at least as far from zero; degrees of freedom above zero.

    From the beta distribution: Abramowitz and Stegun 26.7.1 (from memory).
    """
    return beta_below(degrees / 2, 0.5, degrees / (degrees + t * t))


@cache
def gamma_product_quantile(share: float, first: float, second: float) -> float:
    """The value that the product of two independent gamma values of these shapes (scale 1) is below with this chance.

    P(XY ≤ v) = ∫ f(x)·P(Y ≤ v/x) dx over 120 steps of equal chance of X; good to about 0.5 % of the value.

    Raises:
        ValueError: a share or a shape out of its range.
    """
    steps = 120
    places = [chi_square_quantile((step + 0.5) / steps, 2 * first) / 2 for step in range(steps)]
    low, high = 1e-6 * first * second, 4 * (first + 10) * (second + 10)
    for _ in range(34):
        middle = math.sqrt(low * high)
        below = sum(gamma_below(second, middle / place) for place in places) / steps
        low, high = (middle, high) if below < share else (low, middle)
    return math.sqrt(low * high)
