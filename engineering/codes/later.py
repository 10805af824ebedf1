"""What a later line says of a code that an earlier one lists: a log that sets a code and then clears it."""

import re
from collections.abc import Sequence
from dataclasses import replace

from engineering.codes.headings import may_name_units
from engineering.codes.lines import Draft, SeenCode
from engineering.codes.records import Line
from engineering.codes.vocabulary import NOUNS, STATUSES

_ALL_OVER = re.compile(
    r"\W*(?:(?:BOTH|ALL|ALLE|BEIDE|TOUS|TODOS|TUTTI|ALLA|KAIKKI)(?: [A-Z]{2,10})?(?: ARE| WERE| NOW)? (?:CLEARED|ERASED"
    r"|DELETED|GONE|FIXED|REPAIRED|RESOLVED|OK|GELOSCHT|BEHOBEN|EFFACES|BORRADOS|CANCELLATI|GEWIST|APAGADOS|SLETTET"
    r"|RADERADE|POISTETTU)|(?:CLEARED|ERASED|DELETED|FIXED|REPAIRED) (?:BOTH|ALL|THEM)(?: OF THEM)?)\W*"
)
_OVER_BELOW = re.compile(
    r"[\W_]*(?:(?:[0-9]{4}-[0-9]{1,2}-[0-9]{1,2}[T ]?|[0-9]{1,2}[/.][0-9]{1,2}[/.][0-9]{2,4} ?)?"
    r"(?:[0-9]{1,2}:[0-9]{2}(?::[0-9]{2}(?:[.,][0-9]+)?)?(?: ?[AP]M| ?Z)?)?[\])]? ?[-:,]? ?)?"
    rf"(?:(?:ALL|BOTH|THE|LES|TOUS LES|ALLE|LOS) )*(?:(?:{NOUNS}|MEMORY)(?: WERE| ARE| WAS| NOW)? )?"
    r"(?:CLEARED|ERASED|DELETED|RESET(?: DONE)?|GONE|GELOSCHT|EFFACEE?S?|BORRAD[OA]S?|CANCELLAT[OIAE]|GEWIST|SLETTET"
    r"|RADERADE?)"
    r"(?:,? (?:BY|WITH|AT|ON|AND|AFTER|NONE|NOTHING|NOT|NO) [A-Z0-9 .,:/'-]{0,60})?[ .!)\]]*"
)
"""A line of its own, with or without a time: "10:50 cleared", "codes cleared", "all codes erased, none since"."""
_MOST_ABOVE = 100
_ANOTHER_TIME = re.compile(
    r"(?=.{0,40}[0-9])[A-Z0-9][A-Z0-9 .,:/#()-]{0,40}?(?:[:=,-]| ) ?(?:NO (?:[A-Z]{2,10} ){0,2}(?:CODES?|DTCS?|FAULTS?)"
    r"|NONE|NOTHING|(?:ALL )?CLEAR|KEINE(?: FEHLER)?|AUCUN(?: DEFAUT)?|NINGUN[OA]?|NESSUN[OA]?|GEEN)(?: FOUND| STORED"
    r"| ACTIVE)?[.!]*"
)
"""What a line of a dated or numbered list says of its own day, hour or visit: "2024-03-16 no codes"."""


_NOTE = re.compile(r"\*{1,3} ?[A-Z]")
_STARRED = re.compile(r"[A-Z0-9)] ?\*{1,3}$")


_WHOSE = re.compile(
    r"\W*(?P<key>(?:SCAN|READ-?OUT|REPORT)(?: OF| FOR| FROM)|VESSEL|BOAT|YACHT|SHIP|CUSTOMER|OWNER|HIN|HULL)"
    r"(?: (?:NAME|NO\.?|NUMBER|ID))?[ :=#]+(?P<name>[A-Z0-9].{1,60})"
)
"""A line that says whose scan stands below it."""


def doubt_all(lines: Sequence[Line]) -> None:
    """Offer only, and say why, what a line below, or the rest of its own, speaks against."""
    doubt_what_is_over(lines)
    doubt_what_is_gone_later(lines)
    doubt_what_a_note_is_on(lines)
    doubt_whose_it_is(lines)
    doubt_what_is_denied_later([line.draft for line in lines])


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
        if line.codes or not (_ALL_OVER.fullmatch(line.text) or _is_over(lines, at)):
            continue
        for above in reversed(lines[max(0, at - _MOST_ABOVE) : at]):
            if above.is_blank or above.is_frame:
                break
            reason = f"Line {line.draft.number}, below it, says “{line.draft.text.strip()}”."
            above.draft.codes = [replace(seen, reason=seen.reason or reason) for seen in above.draft.codes]


def _is_over(lines: Sequence[Line], at: int) -> bool:
    """Whether a line says that what stands above it was cleared, and is no heading of what stands below it."""
    if not _OVER_BELOW.fullmatch(lines[at].text):
        return False
    below = lines[at + 1] if at + 1 < len(lines) else None
    return below is None or not below.codes or any(sign.isdigit() for sign in lines[at].text)


def doubt_what_is_gone_later(lines: Sequence[Line]) -> None:
    """Offer only what stands above a line that says there are no codes, and names no other engine or unit.

    Two scans one below the other may speak so, or a list of days; the later one is what counts.
    """
    for at, line in enumerate(lines):
        draft = line.draft
        if draft.codes or not (draft.no_codes_at_all or (draft.kind == "unknown" and _is_of_another_time(line.text))):
            continue
        reason = f"Line {draft.number}, below it, says “{draft.text.strip()[:60]}”: check whether it is there now."
        for above in reversed(lines[max(0, at - _MOST_ABOVE) : at]):
            above.draft.codes = [
                replace(seen, reason=reason)
                if seen.certain and (seen.unit or "").casefold() in ("", draft.none_under.casefold())
                else seen
                for seen in above.draft.codes
            ]


def doubt_what_a_note_is_on(lines: Sequence[Line]) -> None:
    """Offer only a code whose line ends in a star where a line below begins with one: the note says what of it."""
    notes = [line for line in lines if _NOTE.match(line.text) and not line.codes]
    for above in lines:
        note = next((one for one in notes if one.draft.number > above.draft.number), None)
        if note is not None and above.draft.codes and _STARRED.search(above.text):
            reason = f"Its star leads to line {note.draft.number}: “{note.draft.text.strip()[:60]}”."
            above.draft.codes = [replace(seen, reason=seen.reason or reason) for seen in above.draft.codes]


def doubt_whose_it_is(lines: Sequence[Line]) -> None:
    """Offer only what a text lists that names two boats, or two owners."""
    named: dict[str, dict[str, str]] = {}
    for line in lines:
        whose = None if line.codes or may_name_units(line.text) else _WHOSE.fullmatch(line.text)
        if whose is not None and STATUSES.search(line.text) is None:
            named.setdefault(whose["key"], {}).setdefault(whose["name"].strip(" .:"), line.draft.text.strip()[:60])
    told = next((list(names.values()) for names in named.values() if len(names) > 1), None)
    if told is None:
        return
    reason = f"The text says “{told[0]}” and “{told[1]}”: check whose codes these are."
    for line in lines:
        line.draft.codes = [replace(seen, reason=seen.reason or reason) for seen in line.draft.codes]


def _is_of_another_time(text: str) -> bool:
    return _ANOTHER_TIME.fullmatch(text) is not None and not may_name_units(text) and STATUSES.search(text) is None


def _doubted(seen: SeenCode, denied: Sequence[tuple[int, str]]) -> SeenCode:
    if seen.reason is not None:
        return seen
    for line, unit in denied:
        if line >= seen.line and (not unit or not seen.unit or unit.casefold() == seen.unit.casefold()):
            where = f"Line {line}, below it," if line > seen.line else "The same line"
            return replace(seen, reason=f"{where} says that it is not there: check whether it is.")
    return seen
