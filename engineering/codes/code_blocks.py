"""What a block of generic codes is about, by the characters after the letter: P03xx ignition or misfire.

Source: P01 to P07 after a car maker's published service text "DTC Format (SAE J2012)" and other public tables that
agree; P00, P08 and P09, and every block of P2, P3 and U0, from memory of the structure in SAE J2012. A block
is where the standard put a code, not what the code says: engine over temperature, for one, stands in P02.
"""

_BLOCKS: dict[str, tuple[str, bool]] = {
    "P00": ("fuel and air metering, auxiliary emission controls", True),
    "P01": ("fuel and air metering", False),
    "P02": ("fuel and air metering, injector circuits", False),
    "P03": ("ignition system or misfire", False),
    "P04": ("auxiliary emission controls", False),
    "P05": ("speed control, idle control and auxiliary inputs", False),
    "P06": ("control unit and its output circuits", False),
    "P07": ("transmission", False),
    "P08": ("transmission", True),
    "P09": ("transmission", True),
    "P0A": ("hybrid propulsion", True),
    "P20": ("fuel and air metering, auxiliary emission controls", True),
    "P21": ("fuel and air metering, auxiliary emission controls", True),
    "P22": ("fuel and air metering, auxiliary emission controls", True),
    "P23": ("ignition system or misfire", True),
    "P24": ("auxiliary emission controls", True),
    "P25": ("auxiliary inputs", True),
    "P26": ("control unit and its output circuits", True),
    "P27": ("transmission", True),
    "P34": ("cylinder deactivation", True),
    "U00": ("the network's wiring and bus", True),
    "U01": ("lost communication with a unit", True),
    "U02": ("lost communication with a unit", True),
    "U03": ("software that does not fit between units", True),
    "U04": ("invalid data from a unit", True),
}


def code_block(text: str) -> str | None:
    """What the block of a canonical P, C, B or U code is about; None for the maker's and for unknown ones."""
    found = _BLOCKS.get(text[:3])
    return found[0] if found else None


def is_block_from_memory(text: str) -> bool:
    """Whether what ``code_block`` says of this code has no open source behind it."""
    return text[:3] in _BLOCKS and _BLOCKS[text[:3]][1]
