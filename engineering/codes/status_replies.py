"""Replies of diagnostic service 19 that list codes by their status: 59 02, a mask, then four bytes for each code.

Source: ISO 14229-1 as open libraries implement it: the layout by python-udsoncan's tests, the bits of the status byte
(D.2) by public lists that agree. A code's three bytes are read as SAE J2012 has them, the third as its failure type;
the reply does not say which format it has.
"""

from dataclasses import dataclass

from engineering.codes.code import CodeStatus
from engineering.codes.obd import decode_dtc

_HEAD = 3
_FAILING, _PENDING, _CONFIRMED = 0x01, 0x04, 0x08
FORMAT_UNKNOWN = "The reply does not say how its codes are written: read as P, C, B and U codes with a failure type."


@dataclass(frozen=True, slots=True)
class ListedCode:
    """One code of a reply: its text, its status byte, and what that says of it."""

    text: str
    status_byte: int

    @property
    def is_there(self) -> bool:
        """Whether it is failing, pending or confirmed; otherwise it is listed as tested or not, and no more."""
        return bool(self.status_byte & (_FAILING | _PENDING | _CONFIRMED))

    @property
    def status(self) -> CodeStatus | None:
        """Active where it is confirmed and failing; None where it is failing and not confirmed."""
        if self.status_byte & _CONFIRMED:
            return CodeStatus.ACTIVE if self.status_byte & _FAILING else CodeStatus.STORED
        return None if self.status_byte & _FAILING else CodeStatus.PENDING

    @property
    def unread(self) -> tuple[str, ...]:
        """What is said where its status is None."""
        told = f"Status not read: byte {self.status_byte:02X}, failing and not confirmed."
        return () if self.status else (told,)


def is_status_reply(data: bytes) -> bool:
    """Whether the bytes start as a reply that lists codes by their status."""
    return len(data) >= _HEAD and data[:2] == b"\x59\x02"


def read_status_reply(payload: bytes) -> tuple[ListedCode, ...] | str:
    """The codes of a whole reply, or a sentence why it was not read."""
    body = payload[_HEAD:]
    if len(body) % 4:
        return f"A code takes four bytes here, and {len(body)} bytes follow the mask: the reply is cut off or padded."
    fours = [body[at : at + 4] for at in range(0, len(body), 4)]
    listed = [(decode_dtc(four[0], four[1], four[2]), four[3]) for four in fours]
    return tuple(ListedCode(text, status) for text, status in listed if text is not None)
