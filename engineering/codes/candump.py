"""Lines of a CAN log in candump notation, with or without time and interface."""

import re
from dataclasses import dataclass, field, replace

_TIME = r"(?:\(\s*(?P<time>[0-9.: -]{1,40})\)\s*)?"
_INTERFACE = r"(?:(?P<interface>[A-Za-z][A-Za-z0-9_.-]{0,15})\s+)?"
_HASHED = re.compile(_TIME + _INTERFACE + r"(?P<id>[0-9A-Fa-f]{3}|[0-9A-Fa-f]{8})#(?P<data>\S{0,200})(?:\s+[RT]x?)?")
_SPACED = re.compile(
    _TIME
    + _INTERFACE
    + r"(?:[RT]X\s+(?:[-BE]\s+[-BE]\s+)?)?(?P<id>[0-9A-Fa-f]{3}|[0-9A-Fa-f]{8})\s+\[\s*(?P<length>[0-9]{1,2})\]\s*"
    + r"(?P<data>[^']{0,250})(?:\s*'[^\n]{0,80})?"
)
_LOOKS_LIKE_FRAME = re.compile(r"[0-9A-Fa-f]{3,8}#|(?<![PCBUpcbu])(?<![0-9A-Za-z])[0-9A-Fa-f]{3,8}\s+\[\s*[0-9]{1,2}\]")


@dataclass(frozen=True, slots=True)
class Frame:
    """One CAN frame with at most eight data bytes."""

    can_id: int
    extended: bool
    data: bytes
    time: float | None = field(default=None, compare=False)
    """What the line says of the time, in seconds."""

    @property
    def pgn(self) -> int:
        """The parameter group number of a 29-bit J1939 identifier; the destination is not part of it."""
        group = self.can_id >> 8 & 0x3FFFF
        return group if (group >> 8 & 0xFF) >= 240 else group & 0x3FF00

    @property
    def source(self) -> int:
        """The address of the sending unit, of a 29-bit J1939 identifier."""
        return self.can_id & 0xFF

    @property
    def destination(self) -> int:
        """The address that the frame is meant for; 255 is everyone."""
        return self.can_id >> 8 & 0xFF if (self.can_id >> 16 & 0xFF) < 240 else 255


def read_frame(line: str) -> Frame | str | None:
    """The frame in a line, a sentence saying why it cannot be read, or None where the line is no candump at all."""
    if "#" not in line and "[" not in line:
        return None
    text = line.strip()
    if not _LOOKS_LIKE_FRAME.search(text[:120]):
        return None
    hashed = _HASHED.fullmatch(text)
    if hashed:
        return _with_time(_from_hashed(hashed), hashed["time"])
    spaced = _SPACED.fullmatch(text)
    if spaced:
        return _with_time(_from_spaced(spaced), spaced["time"])
    return "This looks like a CAN frame, but not in a candump notation known here."


def _with_time(frame: Frame | str, written: str | None) -> Frame | str:
    if isinstance(frame, str) or written is None or not re.fullmatch(r"[0-9]{1,12}\.[0-9]{1,9}", written.strip()):
        return frame
    return replace(frame, time=float(written))


def _from_hashed(match: re.Match[str]) -> Frame | str:
    data = match["data"]
    if data.startswith("#"):
        return "A CAN FD frame: J1939 and the service replies read here use classic CAN."
    if data.upper().startswith("R"):
        return "A remote frame: it asks for data and carries none."
    if len(data) > 2 and "_" in data:
        data = data.partition("_")[0]
    return _frame(match["id"], data.replace(".", ""), None)


def _from_spaced(match: re.Match[str]) -> Frame | str:
    data = "".join(match["data"].split())
    if data.lower() == "remoterequest":
        return "A remote frame: it asks for data and carries none."
    return _frame(match["id"], data, int(match["length"]))


def _frame(identifier: str, data: str, length: int | None) -> Frame | str:
    if not re.fullmatch(r"(?:[0-9A-Fa-f]{2})*", data):
        return "The data of this CAN frame is not in whole hex bytes: a character may be missing."
    content = bytes.fromhex(data)
    if len(content) > 8:
        return f"A CAN frame has at most 8 data bytes, and this one has {len(content)}."
    if length is not None and length != len(content):
        return f"The frame says [{length}] bytes but shows {len(content)}: the line may be cut off."
    can_id, extended = int(identifier, 16), len(identifier) == 8
    if can_id > (0x1FFFFFFF if extended else 0x7FF):
        return f"{identifier} is too large for a CAN identifier."
    return Frame(can_id, extended, content)
