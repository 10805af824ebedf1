"""What a fault code is: its system, its one canonical spelling, and the status a unit gave it."""

from dataclasses import dataclass
from enum import StrEnum

from engineering.codes import j1587
from engineering.codes.network_status import status_words


class CodeSystem(StrEnum):
    """Who defines the code. A flash code 23 and an SPN 23 have nothing to do with each other."""

    SPN = "spn"
    """SPN and FMI, SAE J1939-73."""
    J1587 = "j1587"
    """MID, PID or SID, and FMI, SAE J1587: from before J1939."""
    OBD = "obd"
    """P, C, B and U codes, SAE J2012 / ISO 15031-6."""
    FLASH = "flash"
    """A code blinked by a lamp; the engine maker's manual defines it."""
    MAKER = "maker"
    """The engine maker's own code."""
    STATUS = "status"
    """A status bit that a unit sends on an NMEA 2000 network, by its key in :mod:`engineering.codes.network_status`."""


class CodeStatus(StrEnum):
    """The status that the control unit itself gave a code in one scan."""

    ACTIVE = "active"
    STORED = "stored"
    """Stored, confirmed, previously active, inactive, history: there, but not said to be present now."""
    PENDING = "pending"
    PERMANENT = "permanent"


@dataclass(frozen=True, slots=True)
class Code:
    """One fault code.

    ``text`` is canonical: "110-0", "128-P110-3", "P0217", "P0217-00", "23", "2-3", the maker's in capitals, or the
    key of a status bit, "low-oil-pressure".

    Make one with :func:`engineering.codes.make_code`, which checks and spells it; the constructor does not.
    """

    system: CodeSystem
    text: str

    def __str__(self) -> str:
        """The canonical text, in the way the trade reads it out."""
        if self.system is CodeSystem.SPN:
            spn, _, fmi = self.text.partition("-")
            return f"SPN {spn} FMI {fmi}"
        if self.system is CodeSystem.J1587:
            return j1587.named(self.text)
        if self.system is CodeSystem.STATUS:
            return f"Status: {status_words(self.text)}"
        return self.text


class CodeProblem(ValueError):  # noqa: N818 - named after what it tells the user
    """A text is not a code of the system asked for; ``sentence`` says why and how to mend it."""

    def __init__(self, sentence: str) -> None:
        """Keep the sentence for the field it belongs to."""
        super().__init__(sentence)
        self.sentence = sentence
