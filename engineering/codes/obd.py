"""P, C, B and U codes: two bytes, or three with a failure type, to text and back; who controls which range.

Sources: SAE J2012 / ISO 15031-6 as implemented by open libraries; P0 and P2 generic and P1 maker after published
service texts; the split of P3 and the rows of B, C and U are from memory.
"""

FAMILIES = {"P": "powertrain", "C": "chassis", "B": "body", "U": "network and vehicle integration"}


def decode_dtc(high: int, low: int, failure_type: int | None = None) -> str | None:
    """The code in two bytes, with a third for the failure type: "P0133", "P0133-11". None for two zero bytes (padding).

    Raises ValueError for a number that is no byte.
    """
    for byte in (high, low, failure_type or 0):
        if not 0 <= byte <= 255:
            raise ValueError(f"{byte} is not a byte.")
    if not high and not low:
        return None
    text = f"{'PCBU'[high >> 6]}{high >> 4 & 3}{high & 15:X}{low:02X}"
    return text if failure_type is None else f"{text}-{failure_type:02X}"


def controlled_by(text: str) -> str:
    """Who defines the code: "ISO/SAE" (one meaning for every make), "maker", or "reserved"."""
    letter, digit = text[0], text[1]
    if digit == "0":
        return "ISO/SAE"
    if digit == "1":
        return "maker"
    if letter == "P":
        return "maker" if digit == "3" and text[2] in "0123" else "ISO/SAE"
    return "maker" if digit == "2" else "reserved"
