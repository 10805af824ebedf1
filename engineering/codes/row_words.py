"""What a row of a table says of its code outside the columns of code, status and count. Common practice, no source."""

import re

from engineering.codes.assessing import NOT_NOW
from engineering.codes.assessing_words import DENIED_ALONE, FOUND, without_harmless
from engineering.codes.vocabulary import NO

_EXPLAINS = re.compile(
    r"(?<![A-Z])(?:MEANINGS?|(?:POSSIBLE |PROBABLE )?CAUSES?|ACTIONS?|REMED(?:Y|IES)|CORRECTION|SOLUTIONS?|WHAT TO DO"
    r"|WHAT IT MEANS"
    r"|DEFINITIONS?|EXPLANATIONS?|BEDEUTUNG|URSACHEN?|ABHILFE|MASSNAHMEN?|SIGNIFICATION|REMEDES?|SIGNIFICADO|CAUSAS?"
    r"|SOLUCION|SIGNIFICATO"
    r"|CAUSE|RIMEDIO|BETEKENIS|OORZAA?K(?:EN)?|OPLOSSING|SOLUCAO|BETYDELSE|BETYDNING|ORSAK(?:ER)?|ATGARD(?:ER)?"
    r"|ARSAK|AARSAG|ARSAG|TILTAK|MERKITYS|SYY|TOIMENPIDE)(?![A-Z])"
)
_ENDED = re.compile(
    r"(?<![A-Z])(?:CLEARED|ERASED|DELETED|ENDED|END|RESOLVED|FIXED|REPAIRED|RESET|GONE|RELEASED|HEALED|CLOSED|OFF"
    r"|GELOSCHT|BEHOBEN"
    r"|BEENDET|ENDE|EFFACEE?|FIN|BORRADO|RESUELTO|CANCELLATO|RISOLTO|FINE|GEWIST|OPGELOST|APAGADO|RESOLVIDO|SLETTET"
    r"|RADERAD|POISTETTU)(?![A-Z])"
)
"""Heads over the time or the mark that a code has ended."""
_ASIDE = re.compile(
    r"(?<![A-Z])(?:CM|CONVERSION(?: METHOD)?|MIL|LAMP|LIGHT|FREEZE|FRAME|SNAPSHOT|STOP|WARNING|SHUTDOWN"
    r"|EMISSIONS?)(?![A-Z])"
)
"""Heads whose "no" says nothing of the code itself."""
_EMPTY = re.compile(rf"(?:{NO}|[-./ ]*|NONE|N/A)")
_NOTHING = re.compile(r"-+|\.+")
_NO_BIT = re.compile(r"0X0+")
"""A status byte without any of its bits."""
_IS_NO = re.compile(rf"(?:{NO})")
_OVER = re.compile(
    r"(?:CLR|CLRD|ENDED|CLOSED|RELEASED|DISAPPEARED|RESET|OFF|BEENDET|TERMINEE?|FINALIZADO|TERMINATO|AFSLUTTET|AVSLUTAD)"
)
EXPLAINED = "The table explains codes, and says of none that it is there."


def row_denies(status: str, beside: tuple[tuple[str, str], ...]) -> str:
    """Why the code of a row is not there; empty where no cell says so. Of each other cell: its head, what it says."""
    cells = [status, *(cell for _, cell in beside)]
    for cell in cells:
        if _IS_NO.fullmatch(cell):
            continue
        if DENIED_ALONE.search(cell) or _OVER.fullmatch(cell):
            return NOT_NOW
        if (found := FOUND.search(without_harmless(cell))) and len(cell) <= len(found[0]) + 8:
            return NOT_NOW
    return ""


def says_no(status: str) -> bool:
    """Whether a cell for the status is no more than “no”, as the later line of a log of events has it."""
    return _IS_NO.fullmatch(status) is not None


def row_doubt(
    status: str, beside: tuple[tuple[str, str], ...], heads: tuple[str, ...], *, is_said: bool, is_counted: bool
) -> str:
    """Why the code of a row may not be there now. ``is_said``: a status was read for it; ``is_counted``: a count."""
    for head, cell in beside:
        if _ENDED.search(head) and not _EMPTY.fullmatch(cell):
            return f"The row says “{cell}” under “{head}”: check whether the code is there now."
        if (found := FOUND.search(without_harmless(cell))) is not None:
            return f"The row says “{found[0]}”: check what it says of the code."
        if not is_said and _IS_NO.fullmatch(cell) and not _ASIDE.search(head):
            return f"The row says “{cell}” under “{head}”: check whether the code is there."
    if _IS_NO.fullmatch(status) or _NOTHING.fullmatch(status) or _NO_BIT.fullmatch(status):
        return f"The row says “{status}” for its status: check whether the code is there."
    if found := FOUND.search(without_harmless(status)):
        return f"The row says “{found[0]}”: check what it says of the code."
    return EXPLAINED if not (is_said or is_counted) and any(_EXPLAINS.search(head) for head in heads) else ""
