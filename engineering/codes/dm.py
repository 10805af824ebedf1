"""Diagnostic messages of J1939: lamps, and a list of trouble codes.

Source: SAE J1939-73 as implemented by open libraries that agree on DM1 and DM2. The numbers of DM6, DM12, DM23 and
DM28, which have the same layout, are from memory; DM6 and DM23 were seen in an open source.
"""

from dataclasses import dataclass

from engineering.codes.code import CodeStatus
from engineering.codes.spn import Dtc, unpack_dtc

DM_NAMES: dict[int, tuple[str, CodeStatus]] = {
    65226: ("DM1", CodeStatus.ACTIVE),
    65227: ("DM2", CodeStatus.STORED),
    65231: ("DM6", CodeStatus.PENDING),
    65236: ("DM12", CodeStatus.ACTIVE),
    64949: ("DM23", CodeStatus.STORED),
    64896: ("DM28", CodeStatus.PERMANENT),
}
"""PGN to the message's name and the status that its codes have."""

_LAMPS = ((6, "malfunction indicator lamp"), (4, "red stop lamp"), (2, "amber warning lamp"), (0, "protect lamp"))
_STATES = ("off", "on", "in error", "not available")
_FLASHES = (", flashing slowly", ", flashing fast", "", "")
_NO_CODE = bytes(4)
_NOT_AVAILABLE = b"\xff" * 4


@dataclass(frozen=True, slots=True)
class Lamp:
    """One lamp: its name and whether it is off, on (steady or flashing), in error or not available."""

    name: str
    state: str
    flash: str

    def __str__(self) -> str:
        """Such as "amber warning lamp on, flashing slowly"."""
        return f"{self.name} {self.state}{self.flash}"


@dataclass(frozen=True, slots=True)
class DmMessage:
    """One diagnostic message. ``no_code`` is True where it says outright that there is none.

    ``problem`` says what part of the message could not be read; empty where all was.
    """

    name: str
    status: CodeStatus
    lamps: tuple[Lamp, ...]
    dtcs: tuple[Dtc, ...]
    no_code: bool
    problem: str

    @property
    def lamps_not_off(self) -> tuple[Lamp, ...]:
        """The lamps that are on or in error."""
        return tuple(lamp for lamp in self.lamps if lamp.state in ("on", "in error"))


def read_dm(pgn: int, payload: bytes) -> DmMessage:
    """The lamps and trouble codes in a whole payload, reassembled if it came in packets.

    Two bytes of lamps, then four bytes for each code; four zero bytes mean no code, four FF bytes an empty place.
    Raises ValueError for a PGN that is not in ``DM_NAMES``.
    """
    if pgn not in DM_NAMES:
        raise ValueError(f"PGN {pgn} is not a diagnostic message known here.")
    name, status = DM_NAMES[pgn]
    if len(payload) < 6:
        return DmMessage(name, status, (), (), False, f"{name} needs at least 6 bytes, and this has {len(payload)}.")
    lamps = tuple(_lamp(shift, lamp, payload[0], payload[1]) for shift, lamp in _LAMPS)
    area = payload[2:]
    whole = len(area) - len(area) % 4
    fours = [area[start : start + 4] for start in range(0, whole, 4)]
    rest = area[whole:]
    problem = "" if set(rest) <= {0x00, 0xFF} else f"The last bytes {rest.hex(' ').upper()} belong to no code."
    dtcs = tuple(unpack_dtc(four) for four in fours if four not in (_NO_CODE, _NOT_AVAILABLE))
    return DmMessage(name, status, lamps, dtcs, not dtcs and _NO_CODE in fours, problem)


def _lamp(shift: int, name: str, states: int, flashes: int) -> Lamp:
    state = states >> shift & 3
    return Lamp(name, _STATES[state], _FLASHES[flashes >> shift & 3] if state == 1 else "")
