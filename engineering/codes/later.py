"""What a later line says of a code that an earlier one lists: a log that sets a code and then clears it."""

from collections.abc import Sequence
from dataclasses import replace

from engineering.codes.lines import Draft, SeenCode


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


def _doubted(seen: SeenCode, denied: Sequence[tuple[int, str]]) -> SeenCode:
    if seen.reason is not None:
        return seen
    for line, unit in denied:
        if line > seen.line and (not unit or not seen.unit or unit.casefold() == seen.unit.casefold()):
            return replace(seen, reason=f"Line {line}, below it, says that it is not there: check whether it is.")
    return seen
