"""One visit of a boat to the shop, as plain data."""

from __future__ import annotations

import re
from dataclasses import dataclass

_SEVERAL = re.compile(r"\b(?:both|all three|engines)\b", re.IGNORECASE)

# A code with its status and count: ("110-0", "active", 3). A reading: parameter, value, condition, phase.
Codes = tuple[tuple[str, str, int | None], ...]
Readings = tuple[tuple[str, str, str, str], ...]
# A charge: "labor" with hours, or a part number with a quantity.
Charges = tuple[tuple[str, str], ...]
# A part that went in: its number, how many, and into which engine.
Fits = tuple[tuple[str, str, str], ...]


@dataclass(frozen=True)
class Visit:
    """One job. ``ends`` is the state it is in today; findings go to one engine, ``motor`` (its position).

    ``about`` are the codes that the work was about, all that were found where it is empty. ``fits`` are the parts that
    went in where those are not what is charged.
    """

    boat: str
    days_ago: int
    motor: str
    tech: str
    concern: str
    cause: str = ""
    correction: str = ""
    arrival: Codes | None = None
    clears: bool = False
    after: Codes | None = None
    trial: Codes | None = None
    readings: Readings = ()
    charges: Charges = ()
    ends: str = "closed"
    days: int = 2
    work: str = ""
    about: tuple[str, ...] = ()
    fits: Fits | None = None
    condition: str = ""
    contents: str = ""
    keys: str = ""
    reason: str = ""
    pasted: str = ""
    key: str = ""

    @property
    def is_of_one_engine(self) -> bool:
        """Whether the customer spoke of one engine. Where not, the job's line names none."""
        return _SEVERAL.search(self.concern) is None
