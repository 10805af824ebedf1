"""The units used on a boat: keys, labels, kinds, and the ways in which people write them."""

from collections.abc import Mapping
from dataclasses import dataclass
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
    AREA = "area"
    VOLUME = "volume"
    FLOW = "volume flow"
    POWER = "power"
    TORQUE = "torque"
    MASS = "mass"
    DENSITY = "density"
    SPECIFIC_GRAVITY = "specific gravity"
    CONSUMPTION = "specific fuel consumption"
    CAPACITY = "battery capacity"
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


_ALL: tuple[UnitOfMeasure, ...] = (
    UnitOfMeasure("psi", "psi", Kind.PRESSURE, "psi"),
    UnitOfMeasure("kPa", "kPa", Kind.PRESSURE, "kilopascal"),
    UnitOfMeasure("bar", "bar", Kind.PRESSURE, "bar"),
    UnitOfMeasure("inHg", "inHg", Kind.PRESSURE, "inch_Hg"),
    UnitOfMeasure("inH2O", "inH₂O", Kind.PRESSURE, "inch_H2O_39F"),
    UnitOfMeasure("mbar", "mbar", Kind.PRESSURE, "millibar"),
    UnitOfMeasure("Pa", "Pa", Kind.PRESSURE, "pascal"),
    UnitOfMeasure("MPa", "MPa", Kind.PRESSURE, "megapascal"),
    UnitOfMeasure("kgf/cm2", "kgf/cm²", Kind.PRESSURE, "kilogram_force/centimeter**2"),
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
    UnitOfMeasure("Mohm", "MΩ", Kind.RESISTANCE, "megaohm"),
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
    UnitOfMeasure("in2", "in²", Kind.AREA, "inch**2"),
    UnitOfMeasure("cm2", "cm²", Kind.AREA, "centimeter**2"),
    UnitOfMeasure("mm2", "mm²", Kind.AREA, "millimeter**2"),
    UnitOfMeasure("cmil", "cmil", Kind.AREA, "circular_mil"),
    UnitOfMeasure("gal", "gal", Kind.VOLUME, "gallon"),
    UnitOfMeasure("qt", "qt", Kind.VOLUME, "quart"),
    UnitOfMeasure("L", "L", Kind.VOLUME, "liter"),
    UnitOfMeasure("mL", "mL", Kind.VOLUME, "milliliter"),
    UnitOfMeasure("impgal", "imp gal", Kind.VOLUME, "imperial_gallon"),
    UnitOfMeasure("in3", "in³", Kind.VOLUME, "inch**3"),
    UnitOfMeasure("gal/h", "gal/h", Kind.FLOW, "gallon/hour"),
    UnitOfMeasure("L/h", "L/h", Kind.FLOW, "liter/hour"),
    UnitOfMeasure("L/min", "L/min", Kind.FLOW, "liter/minute"),
    UnitOfMeasure("gal/min", "gal/min", Kind.FLOW, "gallon/minute"),
    UnitOfMeasure("impgal/h", "imp gal/h", Kind.FLOW, "imperial_gallon/hour"),
    UnitOfMeasure("hp", "hp", Kind.POWER, "horsepower"),
    UnitOfMeasure("kW", "kW", Kind.POWER, "kilowatt"),
    UnitOfMeasure("PS", "PS", Kind.POWER, "metric_horsepower"),
    UnitOfMeasure("W", "W", Kind.POWER, "watt"),
    UnitOfMeasure("ft.lbf", "ft·lbf", Kind.TORQUE, "foot*pound_force"),
    UnitOfMeasure("in.lbf", "in·lbf", Kind.TORQUE, "inch*pound_force"),
    UnitOfMeasure("N.m", "N·m", Kind.TORQUE, "newton*meter"),
    UnitOfMeasure("kgf.m", "kgf·m", Kind.TORQUE, "kilogram_force*meter"),
    UnitOfMeasure("lb", "lb", Kind.MASS, "pound"),
    UnitOfMeasure("kg", "kg", Kind.MASS, "kilogram"),
    UnitOfMeasure("oz", "oz", Kind.MASS, "ounce"),
    UnitOfMeasure("g", "g", Kind.MASS, "gram"),
    UnitOfMeasure("lb/gal", "lb/gal", Kind.DENSITY, "pound/gallon"),
    UnitOfMeasure("kg/L", "kg/L", Kind.DENSITY, "kilogram/liter"),
    UnitOfMeasure("kg/m3", "kg/m³", Kind.DENSITY, "kilogram/meter**3"),
    UnitOfMeasure("SG", "SG", Kind.SPECIFIC_GRAVITY, "dimensionless"),
    UnitOfMeasure("lb/hp.h", "lb/hp·h", Kind.CONSUMPTION, "pound/(horsepower*hour)"),
    UnitOfMeasure("g/kW.h", "g/kW·h", Kind.CONSUMPTION, "gram/(kilowatt*hour)"),
    UnitOfMeasure("Ah", "Ah", Kind.CAPACITY, "ampere*hour"),
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

_PREFERRED: Mapping[Kind, tuple[str, str]] = {
    Kind.PRESSURE: ("psi", "kPa"),
    Kind.TEMPERATURE: ("degF", "degC"),
    Kind.VOLTAGE: ("V", "V"),
    Kind.CURRENT: ("A", "A"),
    Kind.RESISTANCE: ("ohm", "ohm"),
    Kind.ROTATION: ("rpm", "rpm"),
    Kind.SPEED: ("mph", "kn"),
    Kind.LENGTH: ("in", "mm"),
    Kind.AREA: ("in2", "cm2"),
    Kind.VOLUME: ("gal", "L"),
    Kind.FLOW: ("gal/h", "L/h"),
    Kind.POWER: ("hp", "kW"),
    Kind.TORQUE: ("ft.lbf", "N.m"),
    Kind.MASS: ("lb", "kg"),
    Kind.DENSITY: ("lb/gal", "kg/L"),
    Kind.SPECIFIC_GRAVITY: ("SG", "SG"),
    Kind.CONSUMPTION: ("lb/hp.h", "g/kW.h"),
    Kind.CAPACITY: ("Ah", "Ah"),
    Kind.FREQUENCY: ("Hz", "Hz"),
    Kind.ANGLE: ("deg", "deg"),
    Kind.PERCENT: ("%", "%"),
    Kind.HOURS: ("h", "h"),
    Kind.COUNT: ("count", "count"),
    Kind.ON_OFF: ("on/off", "on/off"),
}

_ALSO_WRITTEN: Mapping[str, str] = {
    "psi": "psig lb/in2 lb/in² lbf/in2 lbf/in²",
    "mbar": "hpa millibar millibars",
    "kgf/cm2": "kg/cm2 kg/cm² kgf/cm² kp/cm2 kp/cm²",
    "inHg": 'inhg in.hg "hg',
    "inH2O": 'inh2o in.h2o "h2o inwc',
    "degF": "f fahrenheit",
    "degC": "c celsius",
    "K": "kelvin kelvins",
    "V": "volt volts vdc vac",
    "mV": "millivolt millivolts",
    "A": "amp amps ampere amperes adc cca",
    "mA": "milliamp milliamps",
    "ohm": "ohms",
    "kohm": "kohms kiloohm kiloohms",
    "rpm": "r/min rev/min u/min 1/min min-1",
    "mph": "mi/h",
    "kn": "kt kts knot knots",
    "km/h": "kph kmh",
    "in": "inch inches \" ″ ′′ ” ''",
    "ft": "foot feet ' ′ ’",
    "mm": "millimeter millimeters millimetre millimetres",
    "in2": "sqin sq.in inch2 in^2",
    "cm2": "sqcm sq.cm cm^2",
    "mm2": "sqmm sq.mm mm^2",
    "cmil": "cmils cm.area circularmil circularmils",
    "gal": "gallon gallons usgal us.gal",
    "impgal": "imp.gal impgallon impgallons ukgal imperialgallon imperialgallons",
    "impgal/h": "imp.gal/h impgph igph",
    "in3": "cuin cu.in ci cid in^3",
    "mL": "cc cm3 cm³ cm^3",
    "qt": "quart quarts",
    "L": "liter liters litre litres",
    "gal/h": "gph gal/hr usgph",
    "gal/min": "gpm",
    "L/h": "lph l/hr",
    "L/min": "lpm",
    "hp": "bhp horsepower",
    "PS": "metrichp cv",
    "ft.lbf": "ft.lb ft.lbs lb.ft lbs.ft lbf.ft ftlb ftlbs ftlbf lbft",
    "in.lbf": "in.lb in.lbs lb.in lbs.in lbf.in inlb inlbs inlbf lbin",
    "N.m": "nm newtonmeter newtonmeters",
    "kgf.m": "kg.m kgfm kgm m.kg mkg kp.m kpm",
    "lb": "lbs pound pounds",
    "kg": "kilogram kilograms kilo kilos",
    "oz": "ounce ounces",
    "g": "gram grams",
    "lb/gal": "lbs/gal ppg",
    "kg/L": "g/cm3 g/cm³ g/ml g/cc kg/dm3 kg/dm³",
    "lb/hp.h": "lb/hph lb/(hp.h) lbs/hp.h lb/hp.hr lb/bhp.h lb/bhp.hr",
    "g/kW.h": "g/kwh g/(kw.h) g/kw.hr",
    "Ah": "a.h amphour amphours amp.hours amp.hour a.hr",
    "deg": "degree degrees",
    "%": "percent pct",
    "h": "hr hrs hour hours",
    "min": "minute minutes mins",
    "s": "sec secs second seconds",
}


def _folded(text: str) -> str:
    """A spelling without case, spaces, degree signs, and with one sign for the product."""
    plain = text.casefold().replace("°", "deg").replace("ω", "ohm")
    for product in "·*-⋅":
        plain = plain.replace(product, ".")
    return "".join(plain.split()).strip(".")


def _spellings() -> dict[str, str | None]:
    """Folded spelling to key; None where two units fold alike, such as mΩ and MΩ."""
    known: dict[str, str | None] = {}
    for unit in _ALL:
        written = {_folded(unit.key), _folded(unit.label), *map(_folded, _ALSO_WRITTEN.get(unit.key, "").split())}
        for spelling in written - {""}:
            known[spelling] = unit.key if known.get(spelling, unit.key) == unit.key else None
    known["k"] = None  # Kelvin, or kilo-ohm as in "10k": only a capital K says which.
    return known


_EXACT: Mapping[str, str] = {
    **{unit.label: unit.key for unit in _ALL if unit.label},
    **{unit.key: unit.key for unit in _ALL},
    "m\u2126": "mohm",
    "M\u2126": "Mohm",
}
_SPELLINGS = _spellings()


def unit_written(text: str) -> str | None:
    """The key of the unit that a person wrote, or None. A spelling that fits two units is none."""
    written = text.strip()
    return _EXACT.get(written) or _SPELLINGS.get(_folded(written))


def units_of(kind: Kind) -> tuple[UnitOfMeasure, ...]:
    """The units that measure ``kind``."""
    return tuple(unit for unit in _ALL if unit.kind is kind)


def preferred_unit(kind: Kind, system: System) -> str:
    """The key of the unit that a shop on US or metric units reads ``kind`` in (common practice, no source)."""
    us, metric = _PREFERRED[kind]
    return us if system == "us" else metric
