"""The status bits that an engine and a transmission send on an NMEA 2000 network, as named findings.

Source: the open canboat database (Apache-2.0), docs/canboat.json, schema 2.5.0, version 8.0.0-beta3 (2026): PGN 127489
fields "Discrete Status 1" and "2", PGN 127493 field "Discrete Status 1". The words are our own. The NMEA's own text is
not open.
"""

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class StatusBit:
    """One bit: ``key`` is short, stable ASCII for storing, ``words`` is what a person reads; bit 0 is the lowest."""

    bit: int
    key: str
    words: str


@dataclass(frozen=True, slots=True)
class StatusField:
    """One field of status bits: its PGN, which of the PGN's status fields it is, its width, and its named bits."""

    pgn: int
    number: int
    width: int
    bits: tuple[StatusBit, ...]

    @property
    def not_available(self) -> int:
        """The value that says that the sender has no such status: every bit set."""
        return (1 << self.width) - 1


def _bits(*named: tuple[str, str]) -> tuple[StatusBit, ...]:
    return tuple(StatusBit(bit, key, words) for bit, (key, words) in enumerate(named))


ENGINE_STATUS_1 = StatusField(
    127489,
    1,
    16,
    _bits(
        ("check-engine", "check engine"),
        ("engine-over-temperature", "engine over temperature"),
        ("low-oil-pressure", "low oil pressure"),
        ("low-oil-level", "low oil level"),
        ("low-fuel-pressure", "low fuel pressure"),
        ("low-system-voltage", "low system voltage"),
        ("low-coolant-level", "low coolant level"),
        ("water-flow", "water flow"),
        ("water-in-fuel", "water in fuel"),
        ("charge-indicator", "charge indicator"),
        ("preheat-indicator", "preheat indicator"),
        ("high-boost-pressure", "high boost pressure"),
        ("rev-limit-exceeded", "rev limit exceeded"),
        ("egr-system", "exhaust gas recirculation system"),
        ("throttle-position-sensor", "throttle position sensor"),
        ("emergency-stop", "emergency stop"),
    ),
)
"""Discrete status 1 of PGN 127489, engine parameters, dynamic."""

ENGINE_STATUS_2 = StatusField(
    127489,
    2,
    16,
    _bits(
        ("warning-level-1", "warning level 1"),
        ("warning-level-2", "warning level 2"),
        ("power-reduction", "power reduction"),
        ("maintenance-needed", "maintenance needed"),
        ("engine-comm-error", "engine communication error"),
        ("secondary-throttle", "sub or secondary throttle"),
        ("neutral-start-protect", "neutral start protect"),
        ("engine-shutting-down", "engine shutting down"),
    ),
)
"""Discrete status 2 of PGN 127489; its upper eight bits have no name in the open database read."""

TRANSMISSION_STATUS = StatusField(
    127493,
    1,
    8,
    _bits(
        ("check-transmission", "check transmission"),
        ("transmission-over-temperature", "transmission over temperature"),
        ("transmission-low-oil-pressure", "low transmission oil pressure"),
        ("transmission-low-oil-level", "low transmission oil level"),
        ("sail-drive", "sail drive"),
    ),
)
"""Discrete status of PGN 127493, transmission parameters, dynamic."""

STATUS_FIELDS: tuple[StatusField, ...] = (ENGINE_STATUS_1, ENGINE_STATUS_2, TRANSMISSION_STATUS)

STATUS_BITS: dict[str, StatusBit] = {bit.key: bit for field in STATUS_FIELDS for bit in field.bits}
"""Every named bit by its key."""


def bits_set(raw: int, field: StatusField) -> tuple[StatusBit, ...]:
    """The bits that are set in ``raw``, lowest first; none where the value says "not available" (all bits set).

    A bit without a name in the open database comes as one with the key "engine-status-2-bit-9" or the like, so that
    nothing sent is lost. Raises ValueError where ``raw`` does not fit the field's width.
    """
    if not 0 <= raw <= field.not_available:
        raise ValueError(f"A status field of {field.width} bits cannot hold {raw}.")
    if raw == field.not_available:
        return ()
    named = {bit.bit: bit for bit in field.bits}
    return tuple(named.get(place) or _unnamed(place, field) for place in _places(raw))


def status_words(key: str) -> str:
    """What a person reads for a bit's key; for one without a name, the key itself with spaces."""
    return STATUS_BITS[key].words if key in STATUS_BITS else key.replace("-", " ")


def _places(raw: int) -> Iterable[int]:
    return (place for place in range(raw.bit_length()) if raw >> place & 1)


def _unnamed(place: int, field: StatusField) -> StatusBit:
    about = "engine" if field.pgn == ENGINE_STATUS_1.pgn else "transmission"
    return StatusBit(
        place,
        f"{about}-status-{field.number}-bit-{place}",
        f"{about} status {field.number}, bit {place} (no name in the open list)",
    )
