"""Figures in the shop's units, with no more places than they are worth."""

from __future__ import annotations

import math
from collections.abc import Mapping
from decimal import ROUND_HALF_UP, Context, Decimal

from engineering.canonical import plain_decimal
from engineering.measures import UNITS, Measure, convert, preferred_unit, show
from engineering.units import System
from findings.bench.outcome import Column, Figure

MOST_DECIMALS = 4
"""What the log keeps of a value."""


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


def measured(figure: Figure, system: System, typed_units: Mapping[str, str]) -> Measure:
    """A figure as a value and a unit."""
    unit = shown_unit(figure, system, typed_units)
    return Measure(rounded(figure.value, figure, unit), unit)


def as_kept(measure: Measure) -> Measure:
    """A value no finer than the log keeps it, so that the page shows what is logged."""
    step = Decimal(1).scaleb(-MOST_DECIMALS)
    if measure.value == measure.value.to_integral_value():
        return measure
    return Measure(Decimal(plain_decimal(measure.value.quantize(step, rounding=ROUND_HALF_UP))), measure.unit)


def measure_words(measure: Measure, word: str = "") -> str:
    """The value with its unit; ``word`` is a unit that measures does not know."""
    if word:
        return f"{plain_decimal(measure.value)} {word}"
    return show(measure.value, measure.unit)


def figure_words(figure: Figure, system: System, typed_units: Mapping[str, str]) -> str:
    """A figure as text: "14.3 mph"."""
    return measure_words(measured(figure, system, typed_units), figure.word)
