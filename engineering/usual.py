"""What a parameter can be, and what it usually is: for finding slips of point and unit, and judging nothing.

Two pairs of bounds by parameter. Beyond the outer ones no engine, tank or battery on a boat goes; beyond the inner ones
one seldom does, so that whoever typed it is asked. All of them are common practice, no source, and wide on purpose: a
common-rail pump makes up to 3,000 bar, a racing outboard turns 9,000 rpm, a hybrid has a battery of 800 V.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Context, Decimal

from engineering.measures import UNITS, Kind, convert, show

_NOT_THE_VALUE_ITSELF = re.compile(
    r"\b(rise|drop|fall|difference|delta|spread|loss|change|ratio|rate of|limit|setting|set ?point)\b"
)
"""Words after which a name means something else than the value: "Coolant temperature rise"."""


@dataclass(frozen=True, slots=True)
class Span:
    """What one parameter usually is, and what it can be, in ``unit``."""

    what: str
    unit: str
    names: re.Pattern[str]
    usual: tuple[Decimal, Decimal]
    possible: tuple[Decimal, Decimal]


def _span(what: str, unit: str, names: str, usual: str, possible: str) -> Span:
    """A row: ``usual`` and ``possible`` are "low high"."""
    return Span(what, unit, re.compile(names), _pair(usual), _pair(possible))


def _pair(ends: str) -> tuple[Decimal, Decimal]:
    low, high = map(Decimal, ends.split())
    return low, high


_DIFFERENCE = re.compile(
    r"\b(rise|drop|fall|differences?|differential|delta|spread|split|change|gradient|diff)\b|Δ|δ", re.IGNORECASE
)


def is_difference(name: str, unit: str) -> bool:
    """Whether a parameter is by its name the difference of two temperatures, and its value no temperature itself.

    Common practice, no source.
    """
    return unit in UNITS and UNITS[unit].kind is Kind.TEMPERATURE and _DIFFERENCE.search(name) is not None


SPANS: tuple[Span, ...] = (
    _span("turbocharger speed", "rpm", r"turbo.*speed|turbo.*rpm", "0 250000", "0 500000"),
    _span("shaft speed", "rpm", r"(shaft|propeller) speed", "-4000 10000", "-50000 50000"),
    _span("engine speed", "rpm", r"(engine|throttle|idle|cranking) speed|\brpm\b", "0 10000", "0 100000"),
    _span("gear oil pressure", "bar", r"(gear|transmission|clutch).*pressure", "-0.5 40", "-1.1 400"),
    _span("steering or trim pressure", "bar", r"(steering|trim|hydraulic).*pressure", "-0.5 350", "-1.1 1000"),
    _span("injection oil pressure", "bar", r"(injection|actuation) (control|oil) pressure", "-0.5 350", "-1.1 1000"),
    _span("oil pressure", "bar", r"\boil pressure", "-0.2 15", "-1.1 400"),
    _span("fuel pressure", "bar", r"(fuel|rail|injection).*pressure", "-1 3000", "-1.1 5000"),
    _span("raw water pressure", "bar", r"(raw|sea) ?water.*pressure", "-1 7", "-1.1 60"),
    _span("coolant pressure", "bar", r"coolant.*pressure", "-1 5", "-1.1 60"),
    _span("exhaust back-pressure", "bar", r"back.?pressure", "-0.2 1", "-1.1 20"),
    _span("boost pressure", "bar", r"(boost|charge air|turbo).*pressure", "-1 6", "-1.1 60"),
    _span("air inlet pressure", "bar", r"(inlet|intake|manifold).*pressure", "-1 7", "-1.1 60"),
    _span("compression", "bar", r"^compression$|compression pressure", "0 70", "-1.1 400"),
    _span("exhaust gas temperature", "degC", r"exhaust.*temp|\begt\b", "-40 950", "-90 1400"),
    _span("intake air temperature", "degC", r"(intake|inlet|charge) air.*temp|manifold.*temp", "-45 220", "-90 500"),
    _span("coolant temperature", "degC", r"coolant.*temp", "-45 130", "-90 400"),
    _span("oil temperature", "degC", r"\boil temp", "-45 160", "-90 500"),
    _span("sea water temperature", "degC", r"sea ?water temp", "-3 40", "-20 110"),
    _span("engine room temperature", "degC", r"engine room temp", "-45 90", "-90 500"),
    _span("battery temperature", "degC", r"battery temp", "-45 80", "-90 400"),
    _span("fuel temperature", "degC", r"fuel temp", "-45 130", "-90 400"),
    _span("sensor supply", "V", r"sensor supply", "-0.5 33", "-100 100"),
    _span("voltage drop", "V", r"voltage drop", "0 33", "-1000 1000"),
    _span("generator voltage", "V", r"(generator|shore).*voltage", "0 500", "-1000 1000"),
    _span("battery voltage", "V", r"(battery|charging|cranking|alternator|charge).*voltage", "0 64", "-1000 1000"),
    _span("generator frequency", "Hz", r"generator frequency", "0 70", "0 1000"),
    _span("alternator output", "A", r"alternator (output|current)", "-5 600", "-10000 10000"),
    _span("battery current", "A", r"battery current", "-3000 3000", "-10000 10000"),
    _span("fuel flow", "L/h", r"fuel (rate|return|flow|burn|consumption)", "0 1500", "-1500 20000"),
    _span("leak-down", "%", r"leak.?down", "0 100", "0 100"),
    _span("throttle position", "%", r"throttle|pedal", "-5 105", "-1000 1000"),
    _span("engine load", "%", r"engine load", "0 130", "-1000 1000"),
    _span("engine torque", "%", r"engine torque", "-130 130", "-1000 1000"),
    _span("level", "%", r"\blevel\b", "-5 110", "-1000 1000"),
    _span("trim", "%", r"\b(tilt|trim)\b", "-110 150", "-1000 1000"),
    _span("boat speed", "kn", r"boat speed|speed over ground", "-10 100", "-100 290"),
)  # fmt: skip
"""In the order in which names are looked at: the first that fits counts. Common practice, no source."""


def span_of(name: str, unit: str) -> Span | None:
    """The bounds of a parameter by its name, where they are of the kind that ``unit`` measures; None where unknown."""
    said = " ".join(name.casefold().split())
    return next((span for span in _of_kind(unit) if span.names.search(said) and not _is_derived(span, said)), None)


def _of_kind(unit: str) -> Iterator[Span]:
    kind = UNITS[unit].kind
    return (span for span in SPANS if UNITS[span.unit].kind is kind)


def _is_derived(span: Span, said: str) -> bool:
    found = _NOT_THE_VALUE_ITSELF.search(said)
    return found is not None and found.group() not in span.what


def impossible(name: str, value: Decimal, unit: str) -> str:
    """Why a parameter cannot have such a value, in a sentence; empty where it can, or where nothing is known of it."""
    span = span_of(name, unit)
    if span is None:
        return ""
    number, (low, high) = convert(value, unit, span.unit), span.possible
    if number < low:
        return f"{show(value, unit)} is below any {span.what}. Check the sign, the figure and its unit."
    if number > high:
        return f"{show(value, unit)} is above any {span.what}. Check the decimal point and the unit."
    return ""


def unusual(name: str, value: Decimal, unit: str) -> str:
    """What is odd about a value that a parameter can have and seldom has, in a sentence; empty where nothing is."""
    span = span_of(name, unit)
    if span is None:
        return ""
    number, (low, high) = convert(value, unit, span.unit), span.usual
    if number < low:
        return f"{show(value, unit)} is far below the usual {span.what}; seldom below {_in(unit, low, span)}."
    if number > high:
        return f"{show(value, unit)} is far above the usual {span.what}; seldom above {_in(unit, high, span)}."
    return ""


_THREE_FIGURES = Context(prec=3, rounding=ROUND_HALF_UP)


def _in(unit: str, bound: Decimal, span: Span) -> str:
    """A bound in the unit that a person typed, with no more figures than such a bound deserves."""
    turned = convert(bound, span.unit, unit)
    return show(turned if unit == span.unit else _THREE_FIGURES.plus(turned), unit)
