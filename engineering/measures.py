"""Values and units as used on a boat. Pint knows the factors; this is the small surface that the rest uses."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from types import MappingProxyType
from typing import Literal

System = Literal["us", "metric"]


class Kind(StrEnum):
    """What a value measures. Only units of one kind convert into each other."""

    PRESSURE = "pressure"
    TEMPERATURE = "temperature"
    VOLTAGE = "voltage"
    CURRENT = "current"
    RESISTANCE = "resistance"
    ROTATION = "speed of rotation"
    SPEED = "speed"
    LENGTH = "length"
    VOLUME = "volume"
    FLOW = "volume flow"
    POWER = "power"
    TORQUE = "torque"
    FREQUENCY = "frequency"
    ANGLE = "angle"
    PERCENT = "percent"
    HOURS = "hours"
    COUNT = "count"
    ON_OFF = "on or off"


@dataclass(frozen=True, slots=True)
class UnitOfMeasure:
    """A unit: ``key`` is short ASCII and is what is stored, ``label`` is what is shown, ``pint_name`` is Pint's."""

    key: str
    label: str
    kind: Kind
    pint_name: str


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


_ALL: tuple[UnitOfMeasure, ...] = (
    UnitOfMeasure("psi", "psi", Kind.PRESSURE, "psi"),
    UnitOfMeasure("kPa", "kPa", Kind.PRESSURE, "kilopascal"),
    UnitOfMeasure("bar", "bar", Kind.PRESSURE, "bar"),
    UnitOfMeasure("inHg", "inHg", Kind.PRESSURE, "inch_Hg"),
    UnitOfMeasure("inH2O", "inH₂O", Kind.PRESSURE, "inch_H2O_39F"),
    UnitOfMeasure("mbar", "mbar", Kind.PRESSURE, "millibar"),
    UnitOfMeasure("Pa", "Pa", Kind.PRESSURE, "pascal"),
    UnitOfMeasure("degF", "°F", Kind.TEMPERATURE, "degree_Fahrenheit"),
    UnitOfMeasure("degC", "°C", Kind.TEMPERATURE, "degree_Celsius"),
    UnitOfMeasure("K", "K", Kind.TEMPERATURE, "kelvin"),
    UnitOfMeasure("V", "V", Kind.VOLTAGE, "volt"),
    UnitOfMeasure("mV", "mV", Kind.VOLTAGE, "millivolt"),
    UnitOfMeasure("A", "A", Kind.CURRENT, "ampere"),
    UnitOfMeasure("mA", "mA", Kind.CURRENT, "milliampere"),
    UnitOfMeasure("ohm", "Ω", Kind.RESISTANCE, "ohm"),
    UnitOfMeasure("kohm", "kΩ", Kind.RESISTANCE, "kiloohm"),
    UnitOfMeasure("mohm", "mΩ", Kind.RESISTANCE, "milliohm"),
    UnitOfMeasure("rpm", "rpm", Kind.ROTATION, "turn/minute"),
    UnitOfMeasure("mph", "mph", Kind.SPEED, "mile/hour"),
    UnitOfMeasure("kn", "kn", Kind.SPEED, "knot"),
    UnitOfMeasure("km/h", "km/h", Kind.SPEED, "kilometer/hour"),
    UnitOfMeasure("m/s", "m/s", Kind.SPEED, "meter/second"),
    UnitOfMeasure("in", "in", Kind.LENGTH, "inch"),
    UnitOfMeasure("ft", "ft", Kind.LENGTH, "foot"),
    UnitOfMeasure("mm", "mm", Kind.LENGTH, "millimeter"),
    UnitOfMeasure("cm", "cm", Kind.LENGTH, "centimeter"),
    UnitOfMeasure("m", "m", Kind.LENGTH, "meter"),
    UnitOfMeasure("gal", "gal", Kind.VOLUME, "gallon"),
    UnitOfMeasure("qt", "qt", Kind.VOLUME, "quart"),
    UnitOfMeasure("L", "L", Kind.VOLUME, "liter"),
    UnitOfMeasure("mL", "mL", Kind.VOLUME, "milliliter"),
    UnitOfMeasure("gal/h", "gal/h", Kind.FLOW, "gallon/hour"),
    UnitOfMeasure("L/h", "L/h", Kind.FLOW, "liter/hour"),
    UnitOfMeasure("L/min", "L/min", Kind.FLOW, "liter/minute"),
    UnitOfMeasure("gal/min", "gal/min", Kind.FLOW, "gallon/minute"),
    UnitOfMeasure("hp", "hp", Kind.POWER, "horsepower"),
    UnitOfMeasure("kW", "kW", Kind.POWER, "kilowatt"),
    UnitOfMeasure("PS", "PS", Kind.POWER, "metric_horsepower"),
    UnitOfMeasure("W", "W", Kind.POWER, "watt"),
    UnitOfMeasure("ft.lbf", "ft·lbf", Kind.TORQUE, "foot*pound_force"),
    UnitOfMeasure("in.lbf", "in·lbf", Kind.TORQUE, "inch*pound_force"),
    UnitOfMeasure("N.m", "N·m", Kind.TORQUE, "newton*meter"),
    UnitOfMeasure("Hz", "Hz", Kind.FREQUENCY, "1/second"),
    UnitOfMeasure("deg", "°", Kind.ANGLE, "degree"),
    UnitOfMeasure("%", "%", Kind.PERCENT, "percent"),
    UnitOfMeasure("h", "h", Kind.HOURS, "hour"),
    UnitOfMeasure("min", "min", Kind.HOURS, "minute"),
    UnitOfMeasure("s", "s", Kind.HOURS, "second"),
    UnitOfMeasure("count", "", Kind.COUNT, "dimensionless"),
    UnitOfMeasure("on/off", "", Kind.ON_OFF, "dimensionless"),
)

UNITS: Mapping[str, UnitOfMeasure] = MappingProxyType({unit.key: unit for unit in _ALL})
"""Every unit by its key, in the order in which a list should offer them."""


def units_of(kind: Kind) -> tuple[UnitOfMeasure, ...]:
    """The units that measure ``kind``."""
    return tuple(unit for unit in _ALL if unit.kind is kind)


def preferred_unit(kind: Kind, system: System) -> str:
    """The key of the unit that a shop on US or metric units reads ``kind`` in."""
    raise NotImplementedError


def parse_number(text: str) -> Decimal:
    """A number as a person writes it: comma or point, sign, "1/8", "1 1/8". Raises :class:`MeasureProblem`."""
    raise NotImplementedError


def parse_measure(text: str, *, default_unit: str) -> Measure:
    """A value with or without its unit. A unit of another kind than the default's is refused."""
    raise NotImplementedError


def to_si(value: Decimal, unit: str) -> Decimal:
    """The value in the coherent SI unit of its kind, for comparing."""
    raise NotImplementedError


def convert(value: Decimal, from_unit: str, to_unit: str) -> Decimal:
    """The value in another unit of the same kind. Raises :class:`MeasureProblem` where the kinds differ."""
    raise NotImplementedError


def show(value: Decimal, unit: str, *, significant: int | None = None) -> str:
    """The value with its unit's label: "13.4 V". ``significant`` rounds half up to so many figures."""
    raise NotImplementedError
