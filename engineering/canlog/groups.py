"""The messages that are decoded, field by field.

Source of the NMEA 2000 groups: the open canboat database (Apache-2.0), docs/canboat.json, schema 2.5.0, version
8.0.0-beta3 (2026). Source of the J1939 groups: its database/j1939/pgns, version 8.3.0 (2026), which names SAE J1939-71
as its own source; only fields that it gives are here. Labels and keys are our own. Values come in units of
``engineering.units``: pressures in kPa, temperatures in °C (0 °C is 273.15 K), hours in h.
"""

from dataclasses import dataclass
from decimal import Decimal
from enum import Enum

from engineering.canlog.lookups import FLUIDS, PRESSURE_KINDS, TEMPERATURE_PLACES
from engineering.codes.network_status import ENGINE_STATUS_1, ENGINE_STATUS_2, TRANSMISSION_STATUS, StatusField


class Sentinels(Enum):
    """How a field says that it has no value."""

    HIGHEST = "highest"
    """NMEA 2000: of the values that fit, the highest is not available, the next in error, the next reserved."""
    TOP_BYTE = "top byte"
    """J1939: the top byte FF is not available, FE in error, FB to FD reserved (SAE J1939-71, from memory; FF and FE of
    one and two bytes also stand so in an engine maker's published interface)."""


@dataclass(frozen=True, slots=True)
class Bits:
    """Where an integer stands in a message: its first bit, counted from bit 0 of byte 0, and its width."""

    start: int
    width: int
    signed: bool = False

    @property
    def end(self) -> int:
        """The bit after its last."""
        return self.start + self.width


@dataclass(frozen=True, slots=True)
class Field:
    """One parameter: value = raw × resolution + offset, in ``unit``."""

    key: str
    label: str
    unit: str
    bits: Bits
    resolution: Decimal
    offset: Decimal = Decimal(0)

    def value(self, raw: int) -> Decimal:
        """The exact value of a raw integer."""
        return raw * self.resolution + self.offset


@dataclass(frozen=True, slots=True)
class StatusBits:
    """A field of status bits in a message."""

    bits: Bits
    status: StatusField


@dataclass(frozen=True, slots=True)
class Group:
    """One message: its length in bytes, whether it is a fast packet, what tells instances apart, and its fields."""

    pgn: int
    length: int
    fields: tuple[Field, ...]
    instance: Bits | None = None
    kind: Bits | None = None
    kinds: tuple[str, ...] = ()
    statuses: tuple[StatusBits, ...] = ()
    gear: Bits | None = None
    fast: bool = False
    sentinels: Sentinels = Sentinels.HIGHEST


_ZERO_C, _HUNDREDTH, _TENTH = Decimal("-273.15"), Decimal("0.01"), Decimal("0.1")


def _field(
    name: str, unit: str, start: int, width: int, resolution: str, *, signed: bool = False, offset: Decimal = Decimal(0)
) -> Field:
    """A field; its key is its label in lower case with hyphens."""
    key = name.lower().replace(" ", "-")
    return Field(key, name, unit, Bits(start, width, signed), Decimal(resolution), offset)


def _kelvin(name: str, start: int, width: int, resolution: str) -> Field:
    return _field(name, "degC", start, width, resolution, offset=_ZERO_C)


_ENGINE_RAPID = Group(
    127488,
    8,
    (
        _field("Engine speed", "rpm", 8, 16, "0.25"),
        _field("Engine boost pressure", "kPa", 24, 16, "0.1"),
        _field("Engine tilt or trim", "%", 40, 8, "1", signed=True),
    ),
    instance=Bits(0, 8),
)
_ENGINE_DYNAMIC = Group(
    127489,
    26,
    (
        _field("Engine oil pressure", "kPa", 8, 16, "0.1"),
        _kelvin("Engine oil temperature", 24, 16, "0.1"),
        _kelvin("Engine temperature", 40, 16, "0.01"),
        _field("Alternator voltage", "V", 56, 16, "0.01", signed=True),
        _field("Engine fuel rate", "L/h", 72, 16, "0.1", signed=True),
        _field("Engine hours", "s", 88, 32, "1"),
        _field("Engine coolant pressure", "kPa", 120, 16, "0.1"),
        _field("Engine fuel pressure", "kPa", 136, 16, "1"),
        _field("Engine load", "%", 192, 8, "1", signed=True),
        _field("Engine torque", "%", 200, 8, "1", signed=True),
    ),
    instance=Bits(0, 8),
    statuses=(StatusBits(Bits(160, 16), ENGINE_STATUS_1), StatusBits(Bits(176, 16), ENGINE_STATUS_2)),
    fast=True,
)
_TRANSMISSION = Group(
    127493,
    8,
    (
        _field("Transmission oil pressure", "kPa", 16, 16, "0.1"),
        _kelvin("Transmission oil temperature", 32, 16, "0.1"),
    ),
    instance=Bits(0, 8),
    statuses=(StatusBits(Bits(48, 8), TRANSMISSION_STATUS),),
    gear=Bits(8, 2),
)
_FLUID = Group(
    127505,
    8,
    (_field("Tank level", "%", 8, 16, "0.004", signed=True), _field("Tank capacity", "L", 24, 32, "0.1")),
    instance=Bits(0, 4),
    kind=Bits(4, 4),
    kinds=FLUIDS,
)
_BATTERY = Group(
    127508,
    8,
    (
        _field("Battery voltage", "V", 8, 16, "0.01", signed=True),
        _field("Battery current", "A", 24, 16, "0.1", signed=True),
        _kelvin("Battery temperature", 40, 16, "0.01"),
    ),
    instance=Bits(0, 8),
)
_TEMPERATURE = Group(
    130312,
    8,
    (_kelvin("Temperature", 24, 16, "0.01"), _kelvin("Set temperature", 40, 16, "0.01")),
    instance=Bits(8, 8),
    kind=Bits(16, 8),
    kinds=TEMPERATURE_PLACES,
)
_PRESSURE = Group(
    130314,
    8,
    (_field("Pressure", "kPa", 24, 32, "0.0001", signed=True),),
    instance=Bits(8, 8),
    kind=Bits(16, 8),
    kinds=PRESSURE_KINDS,
)
_TEMPERATURE_EXTENDED = Group(
    130316,
    8,
    (_kelvin("Temperature", 24, 24, "0.001"), _kelvin("Set temperature", 48, 16, "0.1")),
    instance=Bits(8, 8),
    kind=Bits(16, 8),
    kinds=TEMPERATURE_PLACES,
)


def _j1939(pgn: int, *fields: Field) -> Group:
    return Group(pgn, 8, fields, sentinels=Sentinels.TOP_BYTE)


_FORTY_BELOW = Decimal(-40)
_J1939 = (
    _j1939(61443, _field("Engine load", "%", 16, 8, "1")),
    _j1939(61444, _field("Engine speed", "rpm", 24, 16, "0.125")),
    _j1939(65253, _field("Engine hours", "h", 0, 32, "0.05")),
    _j1939(
        65262,
        _field("Engine temperature", "degC", 0, 8, "1", offset=_FORTY_BELOW),
        _field("Engine fuel temperature", "degC", 8, 8, "1", offset=_FORTY_BELOW),
        _field("Engine oil temperature", "degC", 16, 16, "0.03125", offset=Decimal(-273)),
    ),
    _j1939(
        65263,
        _field("Engine fuel pressure", "kPa", 0, 8, "4"),
        _field("Engine oil level", "%", 16, 8, "0.4"),
        _field("Engine oil pressure", "kPa", 24, 8, "4"),
        _field("Engine coolant pressure", "kPa", 48, 8, "2"),
        _field("Engine coolant level", "%", 56, 8, "0.4"),
    ),
    _j1939(65266, _field("Engine fuel rate", "L/h", 0, 16, "0.05"), _field("Throttle position", "%", 48, 8, "0.4")),
    _j1939(
        65270,
        _field("Intake manifold temperature", "degC", 16, 8, "1", offset=_FORTY_BELOW),
        _field("Air inlet pressure", "kPa", 24, 8, "2"),
    ),
    _j1939(65271, _field("Battery voltage", "V", 32, 16, "0.05")),
    _j1939(
        65272,
        _field("Transmission oil pressure", "kPa", 24, 8, "16"),
        _field("Transmission oil temperature", "degC", 32, 16, "0.03125", offset=Decimal(-273)),
    ),
    _j1939(65276, _field("Fuel level", "%", 8, 8, "0.4")),
)

GROUPS: dict[int, Group] = {
    group.pgn: group
    for group in (
        _ENGINE_RAPID,
        _ENGINE_DYNAMIC,
        _TRANSMISSION,
        _FLUID,
        _BATTERY,
        _TEMPERATURE,
        _PRESSURE,
        _TEMPERATURE_EXTENDED,
        *_J1939,
    )
}
"""The groups by their PGN."""
