"""Values and units as used on a boat. Pint knows the factors; this is the small surface that the rest uses."""

import re
import unicodedata
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Context, Decimal
from fractions import Fraction
from functools import cache
from typing import Any

from engineering.units import UNITS, Kind, System, UnitOfMeasure, preferred_unit, unit_written, units_of

__all__ = [
    "UNITS",
    "Kind",
    "Measure",
    "MeasureProblem",
    "System",
    "UnitOfMeasure",
    "convert",
    "parse_measure",
    "parse_number",
    "preferred_unit",
    "show",
    "to_si",
    "unit_written",
    "units_of",
]

_SIGNIFICANT = 18
"""Figures that a conversion keeps: far more than any instrument, and the same on every machine."""
_MINUS = str.maketrans({"−": "-", "–": "-", "‐": "-", "‑": "-", "⁄": "/", "∕": "/"})
_SPACES = re.compile(r"[ \t\u00a0\u2007\u2009\u202f]+")
_PLAIN = re.compile(r"[+-]?(?:[0-9]+[.,]?[0-9]*|[.,][0-9]+)")
_GROUPED = re.compile(
    r"[+-]?[0-9]{1,3}(?:(?:,[0-9]{3})+\.[0-9]*|(?:\.[0-9]{3})+,[0-9]*|(?:,[0-9]{3}){2,}|(?:\.[0-9]{3}){2,})"
)
_THOUSANDS_OR_DECIMALS = re.compile(r"[+-]?[1-9][0-9]{0,2},[0-9]{3}")
_FRACTION = re.compile(r"([+-])?(?:([0-9]{1,6})[ -])?([0-9]{1,4}) ?/ ?([0-9]{1,4})")
_NUMBER_CHARACTERS = frozenset("0123456789+-.,/ ")
_MAX_WHOLE, _MAX_DECIMALS = 12, 9


@dataclass(frozen=True, slots=True)
class Measure:
    """A value with the key of its unit."""

    value: Decimal
    unit: str


class MeasureProblem(ValueError):  # noqa: N818 - named after what it tells the user
    """A text is no number, or no value in a unit that fits; ``sentence`` says why and how to mend it."""

    def __init__(self, sentence: str) -> None:
        """Keep the sentence for the field it belongs to."""
        super().__init__(sentence)
        self.sentence = sentence


def parse_number(text: str) -> Decimal:
    """A number as a person writes it, exactly: "13.4", "13,4", "-5", "1/8", "1 1/8", "1-1/8", "½", "1,234.5".

    Raises :class:`MeasureProblem` with a sentence. "5,200" is refused, as it is 5200 to one reader and 5.2 to
    another. At most 12 digits before the decimal point and 9 after it.
    """
    written = _tidied(text)
    if not written:
        raise MeasureProblem("Enter a number, such as 13.4.")
    fraction = _FRACTION.fullmatch(written)
    if fraction:
        return _from_fraction(fraction)
    if _THOUSANDS_OR_DECIMALS.fullmatch(written):
        large, small = written.replace(",", ""), written.replace(",", ".")
        raise MeasureProblem(
            f"“{written}” can mean {large} or {small}. Write {large} without a comma, or {small} with a point."
        )
    if _GROUPED.fullmatch(written):
        return _from_digits(_without_groups(written))
    if not _PLAIN.fullmatch(written):
        raise MeasureProblem(f"“{text.strip()[:40]}” is not a number. Write it like 13.4 or 1 1/8.")
    return _from_digits(written.replace(",", "."))


def parse_measure(text: str, *, default_unit: str) -> Measure:
    """A value with or without its unit: "13,4 V", "1/8 in", "180°F", "5200", "on".

    Without a unit, ``default_unit`` (a key of ``UNITS``) counts. Raises :class:`MeasureProblem` for a unit that is
    not known, or that measures something else than the default unit does.
    """
    expected = _unit(default_unit)
    written = _tidied(text)
    if expected.kind is Kind.ON_OFF:
        return Measure(_on_or_off(written), default_unit)
    end = next((i for i, character in enumerate(written) if character not in _NUMBER_CHARACTERS), len(written))
    number, named = written[:end].strip(), written[end:].strip()
    if not number and named:
        raise MeasureProblem(
            f"“{text.strip()[:40]}” does not start with a number. Write it like 13.4 {expected.label}."
        )
    value = parse_number(number)
    unit = unit_written(named) if named else default_unit
    if unit is None:
        offered = ", ".join(u.label for u in units_of(expected.kind) if u.label) or "none"
        raise MeasureProblem(f"“{named[:20]}” is not a unit known here. Units that fit: {offered}.")
    if UNITS[unit].kind is not expected.kind:
        raise MeasureProblem(
            f"{UNITS[unit].label} is a unit of {UNITS[unit].kind}, but this value is a {expected.kind}, "
            f"such as in {expected.label or 'plain numbers'}."
        )
    return Measure(value, unit)


def to_si(value: Decimal, unit: str) -> Decimal:
    """The value in the coherent SI unit of its kind (Pa, K, V, A, Ω, rad/s, m/s, m, m³, m³/s, W, N·m, 1/s, rad, 1, s).

    For comparing and sorting; percent becomes a fraction, on is 1 and off 0. Rounded to 18 significant figures.
    """
    factor, offset = _to_base(_unit(unit).pint_name)
    return _decimal(Fraction(value) * factor + offset)


def convert(value: Decimal, from_unit: str, to_unit: str, *, is_difference: bool = False) -> Decimal:
    """The value in another unit of the same kind, to 18 significant figures; exactly itself in its own unit.

    ``is_difference``: a rise or fall, in which no scale's zero counts: 10 °C of it are 18 °F, and not 50.

    Raises :class:`MeasureProblem` where the kinds differ.
    """
    source, target = _unit(from_unit), _unit(to_unit)
    if source.kind is not target.kind:
        raise MeasureProblem(f"A {source.kind} in {source.label} has no value in {target.label}.")
    if from_unit == to_unit:
        return value
    factor, offset = _to_base(source.pint_name)
    target_factor, target_offset = _to_base(target.pint_name)
    zeros = Fraction(0) if is_difference else offset - target_offset
    return _decimal((Fraction(value) * factor + zeros) / target_factor)


def show(value: Decimal, unit: str, *, significant: int | None = None) -> str:
    """The value with its unit's label: "13.4 V", "180 °F", "10°", "on".

    Without ``significant`` every figure is shown, without trailing zeros; with it the value is rounded half up to
    so many figures (4 suit a converted reading) and written without an exponent.
    """
    chosen = _unit(unit)
    if chosen.kind is Kind.ON_OFF:
        return "on" if value else "off"
    if significant is not None and value:
        value = Context(prec=significant, rounding=ROUND_HALF_UP).plus(value)
    number = format(value, "f")
    if significant is None and "." in number:
        number = number.rstrip("0").rstrip(".")
    if value.is_zero():
        number = "0"
    if not chosen.label:
        return number
    return f"{number}{chosen.label}" if chosen.label == "°" else f"{number} {chosen.label}"


def _unit(key: str) -> UnitOfMeasure:
    try:
        return UNITS[key]
    except KeyError:
        raise MeasureProblem(f"“{key[:20]}” is not a unit known here.") from None


def _tidied(text: str) -> str:
    """The text with plain digits, one kind of minus, slash and space, and "½" written as " 1/2"."""
    plain = "".join(map(_plain_character, text))
    return _SPACES.sub(" ", plain.translate(_MINUS)).strip()


def _plain_character(character: str) -> str:
    """The plain form of a character; raised and lowered digits stay, as 5² is not 52."""
    how = unicodedata.decomposition(character)
    if how.startswith(("<super>", "<sub>")):
        return character
    plain = unicodedata.normalize("NFKC", character)
    return f" {plain}" if how.startswith("<fraction>") else plain


def _without_groups(written: str) -> str:
    """A number with thousands separators, without them and with a point."""
    last_is_comma = written.rfind(",") > written.rfind(".")
    separators = {character for character in written if character in ",."}
    if len(separators) == 1:
        return written.replace(separators.pop(), "")
    decimal, group = (",", ".") if last_is_comma else (".", ",")
    return written.replace(group, "").replace(decimal, ".")


def _from_digits(written: str) -> Decimal:
    whole, _, decimals = written.lstrip("+-").partition(".")
    if len(whole) > _MAX_WHOLE or len(decimals) > _MAX_DECIMALS:
        raise MeasureProblem(
            f"That number is too long: at most {_MAX_WHOLE} digits before the decimal point and {_MAX_DECIMALS} after "
            "it."
        )
    return Decimal(written)


def _from_fraction(match: re.Match[str]) -> Decimal:
    sign, whole, above, below = match.groups()
    if not int(below):
        raise MeasureProblem("A fraction cannot have zero below the line.")
    value = Fraction(int(whole or 0)) + Fraction(int(above), int(below))
    return _decimal(-value if sign == "-" else value, significant=10)


def _on_or_off(written: str) -> Decimal:
    if written.casefold() in ("on", "1", "yes"):
        return Decimal(1)
    if written.casefold() in ("off", "0", "no"):
        return Decimal(0)
    raise MeasureProblem("Enter on or off.")


def _decimal(value: Fraction, significant: int = _SIGNIFICANT) -> Decimal:
    """The fraction as a decimal without trailing zeros or exponent."""
    context = Context(prec=significant, rounding=ROUND_HALF_UP)
    result = context.divide(Decimal(value.numerator), Decimal(value.denominator))
    return Decimal(format(result.normalize(context), "f"))


@cache
def _to_base(pint_name: str) -> tuple[Fraction, Fraction]:
    """Factor and offset from a unit to SI base units, exact as Pint defines them."""
    registry = _registry()
    at_zero = registry.Quantity(Fraction(0), pint_name).to_base_units().magnitude
    at_one = registry.Quantity(Fraction(1), pint_name).to_base_units().magnitude
    return Fraction(at_one) - Fraction(at_zero), Fraction(at_zero)


@cache
def _registry() -> Any:
    """Pint with fractions, so that no factor is rounded. Made when first needed, as it takes a quarter of a second."""
    import pint

    return pint.UnitRegistry(non_int_type=Fraction)
