"""Figures in the shop's units, with no more places than they are worth."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace
from decimal import ROUND_HALF_UP, Context, Decimal
from types import MappingProxyType

from engineering.canonical import plain_decimal
from engineering.measures import UNITS, Measure, convert, preferred_unit, show
from engineering.units import System
from findings.bench.judged import MOST_DECIMALS, Judged, judged, limits_of
from findings.bench.outcome import Band, Column, Figure

_WITHOUT_NOISE = Context(prec=12, rounding=ROUND_HALF_UP)
_EXACT = 12
"""Figures beyond which a float says nothing of what was measured."""
Typed = Mapping[str, Measure]
"""What was typed, by control."""
NOTHING: Typed = MappingProxyType({})


def shown_unit(figure: Figure | Column, system: System, typed_units: Mapping[str, str]) -> str:
    """The unit in which a figure is shown."""
    if figure.like and figure.like in typed_units:
        return typed_units[figure.like]
    chosen = figure.us if system == "us" else figure.metric
    if chosen:
        return chosen
    kind = UNITS[figure.unit].kind
    usual = preferred_unit(kind, system)
    return usual if preferred_unit(kind, "us") != preferred_unit(kind, "metric") else figure.unit


def rounded(value: float, how: Figure | Column, unit: str) -> Decimal:
    """A value of ``how.unit`` in another unit, rounded as the figure says.

    Raises:
        ValueError: the value is not finite; a tool refuses such inputs before it shows a result.
    """
    if not math.isfinite(value):
        raise ValueError(f"{how.label or 'a figure'} is {value}")
    converted = _converted(Decimal(repr(float(value))), how, unit)
    if how.decimals is None:
        converted = Context(prec=how.significant, rounding=ROUND_HALF_UP).plus(converted)
    else:
        converted = converted.quantize(Decimal(1).scaleb(-how.decimals), rounding=ROUND_HALF_UP)
    return Decimal(plain_decimal(converted))


def _converted(value: Decimal, how: Figure | Column, unit: str) -> Decimal:
    """A value, or a difference of two, in another unit."""
    converted = convert(value, how.unit, unit)
    return converted - convert(Decimal(0), how.unit, unit) if how.is_difference else converted


def measured(figure: Figure, system: System, typed_units: Mapping[str, str], typed: Typed = NOTHING) -> Measure:
    """A figure as a value and a unit: as typed where it is a value that was typed, else rounded once."""
    if figure.entered in typed:
        return typed[figure.entered]
    unit = shown_unit(figure, system, typed_units)
    return Measure(rounded(figure.value, figure, unit), unit)


def judge(
    figure: Figure, band: Band | None, system: System, typed_units: Mapping[str, str], typed: Typed = NOTHING
) -> Judged:
    """A figure against limits: the same value and the same verdict wherever they are said."""
    first = measured(figure, system, typed_units, typed)
    if band is not None and figure.entered in typed and _loses_a_limit(band, first.unit):
        first = Measure(_WITHOUT_NOISE.plus(convert(first.value, first.unit, band.unit)), band.unit)
    if figure.entered in typed:
        return judged([first.value], first.unit, band)
    exact = rounded(figure.value, replace(figure, significant=_EXACT, decimals=None), first.unit)
    finer = (exact.quantize(Decimal(1).scaleb(-places), rounding=ROUND_HALF_UP) for places in range(MOST_DECIMALS + 1))
    coarse = -int(first.value.as_tuple().exponent)
    return judged(
        [first.value, *(one for one in finer if -int(one.as_tuple().exponent) > coarse), exact], first.unit, band
    )


def _loses_a_limit(band: Band, unit: str) -> bool:
    """Whether a limit is too small to be kept in a unit: 1 Ω is no 0.0000 MΩ."""
    kept = limits_of(band, unit)
    return any(limit and not there for limit, there in ((band.low, kept.low), (band.high, kept.high)))


def measure_words(measure: Measure, word: str = "") -> str:
    """The value with its unit; ``word`` is a unit that measures does not know."""
    if word:
        return f"{plain_decimal(measure.value)} {word}"
    return show(measure.value, measure.unit)


def figure_words(figure: Figure, system: System, typed_units: Mapping[str, str], typed: Typed = NOTHING) -> str:
    """A figure as text: "14.3 mph"."""
    return measure_words(measured(figure, system, typed_units, typed), figure.word)
