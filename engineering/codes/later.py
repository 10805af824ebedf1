"""What a later line says of a code that an earlier one lists: a log that sets a code and then clears it."""

import re
from collections.abc import Sequence
from dataclasses import replace

from engineering.codes.lines import Draft, SeenCode
from engineering.codes.records import Line

_ALL_OVER = re.compile(
    r"\W*(?:(?:BOTH|ALL|ALLE|BEIDE|TOUS|TODOS|TUTTI|ALLA|KAIKKI)(?: [A-Z]{2,10})?(?: ARE| WERE| NOW)? (?:CLEARED|ERASED"
    r"|DELETED|GONE|FIXED|REPAIRED|RESOLVED|OK|GELOSCHT|BEHOBEN|EFFACES|BORRADOS|CANCELLATI|GEWIST|APAGADOS|SLETTET"
    r"|RADERADE|POISTETTU)|(?:CLEARED|ERASED|DELETED|FIXED|REPAIRED) (?:BOTH|ALL|THEM)(?: OF THEM)?)\W*"
)
_MOST_ABOVE = 100


def doubt_what_is_denied_later(drafts: Sequence[Draft]) -> None:
    """Offer only, and say why, each code that a line below it says is not there, under the same engine or unit."""
    denied: dict[str, list[tuple[int, str]]] = {}
    for draft in drafts:
        for code, unit in draft.denied:
            denied.setdefault(code.text, []).append((draft.number, unit))
    if not denied:
        return
    for draft in drafts:
        draft.codes = [_doubted(seen, denied.get(seen.code.text, ())) for seen in draft.codes]


def doubt_what_is_over(lines: Sequence[Line]) -> None:
    """Offer only what stands above a line such as "all cleared", with no gap between."""
    for at, line in enumerate(lines):
        if line.codes or not _ALL_OVER.fullmatch(line.text):
            continue
        for above in reversed(lines[max(0, at - _MOST_ABOVE) : at]):
            if above.is_blank or above.is_frame:
                break
            reason = f"Line {line.draft.number}, below it, says “{line.draft.text.strip()}”."
            above.draft.codes = [replace(seen, reason=seen.reason or reason) for seen in above.draft.codes]


def _doubted(seen: SeenCode, denied: Sequence[tuple[int, str]]) -> SeenCode:
    if seen.reason is not None:
        return seen
    for line, unit in denied:
        if line > seen.line and (not unit or not seen.unit or unit.casefold() == seen.unit.casefold()):
            return replace(seen, reason=f"Line {line}, below it, says that it is not there: check whether it is.")
    return seen
