"""Frames as other loggers write them in plain hex: without brackets, with labels, with commas, with a time in front.

Such a line is taken for a frame only where its 29-bit identifier is that of a message with fault codes or of the
transport of one, and its bytes are as many as it says, or eight: a line of numbers is not made a frame.
"""

import re

from engineering.codes.candump import Frame
from engineering.codes.dm import DM_NAMES
from engineering.codes.transport import TP_CM, TP_DT

_LINE = re.compile(
    r"(?P<before>[^#]{0,60}?)(?:(?<=[\s,;=:|(])|^)(?:0[xX])?(?P<id>[01][0-9A-Fa-f]{7})[xXhH]?(?=[\s,;:|)])"
    r"(?P<rest>[\s,;:|)(=\[\]A-Za-z0-9]{1,160})"
)
_FILLER = re.compile(
    r"(?<![0-9A-Za-z])(?:RX|TX|R|T|D|S|X|E|B|EXT|ID|DLC|LEN|LENGTH|DATA|BYTES|MSG|CAN ?[0-9]?|VCAN[0-9]"
    r"|CH ?[0-9])(?![0-9A-Za-z])"
)
_BEFORE = re.compile(r"[\s,;:|()=.\-/0-9TZ]*")
_PAIRS = re.compile(r"(?:0[xX])?([0-9A-Fa-f]{2})(?=[\s,;:|\]]|$)[\s,;:|\]]*")
_JOINED = re.compile(r"((?:[0-9A-Fa-f]{2}){8})\s*")
_LENGTH = re.compile(r"[\s,;:|(\[=]*([0-8])(?=[\s,;:|)\]])[\s,;:|)\]=]*")
_TRAILER = re.compile(r"(?:\s{1,4}(?:Length|BitCount|ID) ?= ?[0-9]{1,12}x?){1,4}\s*$", re.IGNORECASE)
"""What some loggers add behind the bytes: how long the frame took, its bits, its identifier in tens."""
_SPLIT = re.compile(r"\s*((?:[0-9A-Fa-f]{2}[\s,]+){11}[0-9A-Fa-f]{2})\s*")
_READ_HERE = frozenset((*DM_NAMES, TP_CM, TP_DT))


def read_plain_frame(line: str) -> Frame | None:
    """The frame of a line in plain hex, or None where it is not surely one."""
    if len(line) > 200 or not re.search(r"FE|EC|EB", line, re.IGNORECASE):
        return None
    line = _TRAILER.sub("", line)
    split = _SPLIT.fullmatch(line)
    if split:
        content = bytes.fromhex("".join(split[1].replace(",", " ").split()))
        return _frame(int.from_bytes(content[:4], "big"), content[4:])
    match = _LINE.fullmatch(line.strip())
    if match is None or not _BEFORE.fullmatch(_without_filler(match["before"])):
        return None
    rest = _without_filler(match["rest"]).strip(" ,;:|)=\t")
    length = _LENGTH.match(rest)
    if length and not _JOINED.fullmatch(rest):
        rest = rest[length.end() :]
    joined = _JOINED.fullmatch(rest)
    data = joined[1] if joined else _pairs(rest)
    if data is None or len(data) != 16 or (length and not joined and length[1] != "8"):
        return None
    return _frame(int(match["id"], 16), bytes.fromhex(data))


def _without_filler(text: str) -> str:
    return _FILLER.sub(" ", text.upper().replace("\t", " ")) if text else text


def _pairs(rest: str) -> str | None:
    """The digits of a run of bytes, or None where something else is among them."""
    found, place = [], 0
    while place < len(rest):
        match = _PAIRS.match(rest, place)
        if match is None:
            return None
        found.append(match[1])
        place = match.end()
    return "".join(found)


def _frame(can_id: int, data: bytes) -> Frame | None:
    if can_id > 0x1FFFFFFF:
        return None
    frame = Frame(can_id, True, data)
    return frame if frame.pgn in _READ_HERE else None
