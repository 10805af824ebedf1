"""SPN and FMI in the four bytes of a J1939 trouble code, packed and unpacked.

Source: SAE J1939-73 as implemented by several open libraries that agree; the standard itself is not open.
"""

from dataclasses import dataclass

MAX_SPN = 524_287
MAX_FMI = 31
COUNT_NOT_AVAILABLE = 127
FIRST_MAKER_SPN = 520_192
"""From here to 524287 engine makers assign SPNs themselves (from memory)."""


@dataclass(frozen=True, slots=True)
class Dtc:
    """One trouble code as a unit sent it.

    ``spn`` is None where the conversion method bit is set: the unit then uses one of three older byte orders, and
    the bytes do not say which. ``count`` is None where the unit gives no occurrence count (127).
    """

    spn: int | None
    fmi: int
    count: int | None
    conversion_method: int
    raw: bytes

    @property
    def text(self) -> str:
        """The canonical "SPN-FMI", or an empty text where the SPN cannot be known."""
        return "" if self.spn is None else f"{self.spn}-{self.fmi}"

    @property
    def possible_spns(self) -> tuple[int, ...]:
        """The SPNs that the bytes can mean: one, or with the conversion method bit those of versions 1, 2 and 3."""
        if self.spn is not None:
            return (self.spn,)
        low, middle, high = self.raw[0], self.raw[1], self.raw[2] >> 5
        return ((low << 8 | middle) << 3 | high, (middle << 8 | low) << 3 | high, low | middle << 8 | high << 16)


def unpack_dtc(four: bytes) -> Dtc:
    """The trouble code in four bytes, low byte first (version 4). Raises ValueError for any other length."""
    if len(four) != 4:
        raise ValueError("A trouble code has four bytes.")
    method, count = four[3] >> 7, four[3] & 0x7F
    spn = None if method else four[0] | four[1] << 8 | (four[2] >> 5) << 16
    return Dtc(spn, four[2] & 0x1F, None if count == COUNT_NOT_AVAILABLE else count, method, bytes(four))
