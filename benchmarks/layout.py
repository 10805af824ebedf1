"""How the measured shop is laid out. What a hull is like depends on its number alone: both sizes hold the same hulls.

Everybody and everything in it is invented. Pure: what is written here is what the measuring side asks for again.
"""

from __future__ import annotations

from dataclasses import dataclass

FAULTS_OF_A_UNIT = 6
MOST_JOBS = 40
SMALL_ENTRIES = 10_000
LONG_ENTRIES = 5_000
FIRST_WORDS = ["Silver", "Quiet", "Second", "Little", "Northern"]
LAST_WORDS = ["Heron", "Wake", "Tide", "Lantern", "Sparrow", "Compass", "Harbor", "Gull", "Current", "Marlin", "Anchor"]
GIVEN_NAMES = ["Ada", "Bram", "Celia", "Dario", "Edda"]
FIRST_SYLLABLES = ["Har", "Wen", "Tol", "Mar", "Kes", "Bro", "Fen", "Lin", "Ost", "Pel", "Ris", "Sten", "Vor", "Yar"]
LAST_SYLLABLES = ["low", "den", "mark", "wick", "by", "ster", "ning", "ford", "dale", "gard", "lund", "more", "ton"]
SPNS = [91, 94, 97, 98, 100, 102, 105, 107, 108, 109, 110, 111, 158, 168, 171, 172, 174, 175, 190, 1569]
CODES = [f"{spn}-{fmi}" for spn in SPNS for fmi in (3, 4)]


@dataclass(frozen=True)
class Layout:
    """A shop of so many hulls and log entries, one of the hulls with a long log."""

    hulls: int
    entries: int
    long: int

    def entries_of(self, hull: int) -> int:
        """How many entries the log of a hull has. The first hull's is the long one."""
        if hull == 0:
            return self.long
        each, rest = divmod(self.entries - self.long, self.hulls - 1)
        return each + (hull <= rest)

    @property
    def customers(self) -> int:
        """How many customers own the hulls."""
        return customer_of(self.hulls - 1) + 1


def layouts(hulls: int, entries: int) -> tuple[Layout, Layout]:
    """The small shop and the large one. The small one is the beginning of the large one.

    Raises:
        ValueError: there is too little to lay out.
    """
    if hulls < 30 or entries < hulls * 20:
        raise ValueError("Ask for 30 hulls or more, and for at least 20 entries a hull.")
    small = min(SMALL_ENTRIES, entries // 4)
    long = min(LONG_ENTRIES, small // 2)
    large = Layout(hulls, entries, long)
    fitting = max(2, round((small - long) / large.entries_of(1)) + 1)
    return Layout(fitting, small, long), large


def customer_of(hull: int) -> int:
    """Who owns a hull; every fifth customer owns two."""
    return hull * 4 // 5


def boat_name(hull: int) -> str:
    """A name whose first word every fifth boat has."""
    return f"{FIRST_WORDS[hull % 5]} {LAST_WORDS[hull // 5 % 11]} {hull}"


def customer_name(customer: int) -> str:
    """A given name that every fifth customer has, and a surname that few have."""
    first = FIRST_SYLLABLES[customer // 5 % 14]
    last = LAST_SYLLABLES[customer // 70 % 13]
    middle = LAST_SYLLABLES[customer // 910 % 13]
    return f"{GIVEN_NAMES[customer % 5]} {first}{middle}{last}"


def hin(hull: int) -> str:
    """A hull number of the present format, of an invented manufacturer."""
    return f"GBX{hull:05d}C515"


def berth(hull: int) -> str:
    """One berth a hull."""
    return f"{chr(65 + hull % 20)}-{hull // 20:03d}"


def phone(customer: int) -> str:
    """A number out of those kept for fiction, under many area codes."""
    return f"({201 + customer // 100}) 555-01{customer % 100:02d}"


def serial(hull: int, side: int) -> str:
    """An engine's serial number."""
    return f"GX{hull:06d}{'PS'[side]}"


def engines_of(hull: int) -> list[int]:
    """The engines of a hull, by key: every third hull has two."""
    return [hull * 2 + 1, hull * 2 + 2] if hull % 3 == 0 else [hull * 2 + 1]


def job_key(hull: int, visit: int) -> int:
    """The key of a hull's job."""
    return hull * 100 + visit + 1


def job_number(hull: int, visit: int) -> int:
    """The number of a hull's job."""
    return 1000 + job_key(hull, visit)


def fault_key(engine: int, slot: int) -> int:
    """The key of one fault of the unit on an engine. Of a unit's faults, the first returns the most."""
    return engine * FAULTS_OF_A_UNIT + slot + 1


def code_of(engine: int, slot: int) -> str:
    """The code of a fault: six of a unit, all different."""
    return CODES[(engine * 7 + slot) % len(CODES)]


def has_open_job(hull: int) -> bool:
    """Whether the last job is still open: many of the first hulls', so that both sizes have some, and a few later."""
    return (hull < 50 and hull % 2 == 0) or hull % 100 == 0
