"""Replies of diagnostic services 03, 07 and 0A in hex, as an adapter prints them.

Source: ISO 15031-5 / SAE J1979 as implemented and discussed in the open; services and the count byte as in the
project's published checks, the header layouts of older buses from memory.

A reply on CAN has a count byte after the service, a reply on an older bus has none. Without a CAN header the length
tells: six bytes after the service (or a multiple) have no count, an odd number has one, which must then fit, and
anything else is not read, as it could be either. Nor are six bytes that may as well be a count, its codes and zeros.
Service 0A exists on CAN only, so its reply always has the count.
"""

import re
from dataclasses import dataclass

from engineering.codes.code import CodeStatus
from engineering.codes.obd import decode_dtc

REPLY_STATUS = {0x43: CodeStatus.STORED, 0x47: CodeStatus.PENDING, 0x4A: CodeStatus.PERMANENT}
_SPACED = re.compile(r"(?:(?P<id>[0-9A-F]{3}|[0-9A-F]{8}) )?(?P<data>(?:[0-9A-F]{2} )*[0-9A-F]{2})")
_JOINED = re.compile(r"(?P<id>[0-9A-F]{3})?(?P<data>(?:[0-9A-F]{2}){4,64})")
_NUMBERED = re.compile(r"([0-9A-F]): ?((?:[0-9A-F]{2} ?){1,8})")
_PADDING = ({0x00}, {0xFF}, {0xAA}, {0x55}, {0xCC})
_REFUSALS = {0x10: "general reject", 0x11: "service not supported", 0x12: "not supported"}
_ANSWER_TO_COME = 0x78
"""No refusal: the unit asks for more time (ISO 14229-1, response pending; from memory)."""


@dataclass(frozen=True, slots=True)
class Reply:
    """What a reply says: its codes, or that there are none, or why it was not read (``problem``)."""

    service: int
    codes: tuple[str, ...]
    with_count: bool
    problem: str = ""

    @property
    def status(self) -> CodeStatus:
        """The status of all codes in the reply."""
        return REPLY_STATUS[self.service]


@dataclass(frozen=True, slots=True)
class HexLine:
    """A line of hex: the CAN identifier in front, if one stood there, and the bytes after it."""

    can_id: int | None
    data: bytes


def read_hex_line(line: str) -> HexLine | None:
    """The bytes of a line in hex, with a CAN header of 3 or 8 digits (or 18 DA in four bytes) taken off; else None."""
    text = " ".join(line.strip().strip(">").upper().split())
    match = _SPACED.fullmatch(text) or _JOINED.fullmatch(text)
    if match is None:
        return None
    data = bytes.fromhex(match["data"])
    if match["id"]:
        return HexLine(int(match["id"], 16), data)
    if data[:2] in (b"\x18\xda", b"\x18\xdb") and len(data) > 4:
        return HexLine(int.from_bytes(data[:4], "big"), data[4:])
    return HexLine(None, data)


def read_numbered_line(line: str) -> tuple[int, bytes] | None:
    """A line such as "1: 02 17 00", as adapters number the parts of a longer reply: the number and the bytes."""
    match = _NUMBERED.fullmatch(line.strip().upper())
    return (int(match[1], 16), bytes.fromhex(match[2])) if match else None


def is_reply(data: bytes) -> bool:
    """Whether the bytes start with the service byte of a reply that is read here."""
    return len(data) >= 2 and data[0] in REPLY_STATUS


def read_reply_with_count(payload: bytes) -> Reply:
    """A whole reply as CAN carries it: service, count, two bytes for each code, nothing after."""
    service, count, body = payload[0], payload[1], payload[2:]
    if len(body) < 2 * count:
        told = (
            f"The count byte says {count}, which takes {2 * count} bytes, but {len(body)} follow: the reply is cut off."
        )
        return Reply(service, (), True, told)
    rest = body[2 * count :]
    if rest and set(rest) not in _PADDING:
        told = f"The count byte says {count}, but {len(body)} bytes follow that are not padding."
        return Reply(service, (), True, told)
    return Reply(service, _codes(body[: 2 * count]), True)


def read_bare_reply(payload: bytes) -> Reply:
    """A reply without a header, by its length; see the rule at the top of this module."""
    service, body = payload[0], payload[1:]
    if service == 0x4A or len(body) % 2:
        return read_reply_with_count(payload)
    filling = _after_counted(body)
    if filling is not None and filling != {0x00}:
        return read_reply_with_count(payload)
    if len(body) % 6 == 0 and filling is None:
        return Reply(service, _codes(body), False)
    told = (
        f"{len(body)} bytes after the service can be read with or without a count byte. Paste the reply with its "
        f"header, or type the codes."
    )
    return Reply(service, (), False, told)


def _after_counted(body: bytes) -> set[int] | None:
    """What fills a reply up behind its count and as many codes; None where it can't be read so.

    A second byte of zero is hardly a code's, and ends a code and begins an empty place where there is no count.
    """
    counted, rest = body[1 : 1 + 2 * body[0]], set(body[1 + 2 * body[0] :])
    fits = 0 < len(counted) == 2 * body[0] and all(counted[1::2])
    return rest if fits and rest in _PADDING else None


def read_reply_without_count(payload: bytes) -> Reply:
    """A reply as older buses carry it: service, two bytes for each code, zeros where there is none."""
    if len(payload) % 2 == 0:
        return Reply(payload[0], (), False, "A code has two bytes, and an odd number of them follows.")
    return Reply(payload[0], _codes(payload[1:]), False)


def older_bus_reply(data: bytes) -> bytes | str | None:
    """The reply in a line with the three header bytes and the check byte of an older bus.

    The reply's bytes; a sentence where the check byte does not fit; None where the line has no such header.
    """
    if len(data) < 6 or data[3] not in REPLY_STATUS:
        return None
    keyword = data[0] & 0xC0 == 0x80 and data[1] == 0xF1
    if not keyword and not (data[0] in (0x48, 0x41) and data[1] == 0x6B):
        return None
    if keyword and len(data) != (data[0] & 0x3F) + 4:
        return f"The header says {data[0] & 0x3F} bytes, but {len(data) - 4} stand between header and check byte."
    if data[-1] not in (sum(data[:-1]) & 0xFF, _crc8(data[:-1])):
        return f"The check byte {data[-1]:02X} does not fit: a character may be wrong."
    return data[3:-1]


def refusal(data: bytes) -> str | None:
    """What a negative reply says, or None where the bytes are none."""
    if len(data) < 3 or data[0] != 0x7F:
        return None
    if data[2] == _ANSWER_TO_COME:
        return f"The unit takes longer for service {data[1]:02X}: its answer is still to come."
    return f"The unit refused service {data[1]:02X}: {_REFUSALS.get(data[2], f'reason {data[2]:02X}')}."


def _codes(body: bytes) -> tuple[str, ...]:
    pairs = (decode_dtc(body[at], body[at + 1]) for at in range(0, len(body), 2))
    return tuple(code for code in pairs if code is not None)


def _crc8(data: bytes) -> int:
    """The check byte of SAE J1850: polynomial 1D, start FF, inverted."""
    crc = 0xFF
    for byte in data:
        crc ^= byte
        for _ in range(8):
            crc = (crc << 1 ^ 0x1D if crc & 0x80 else crc << 1) & 0xFF
    return crc ^ 0xFF
