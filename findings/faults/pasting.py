"""From an instrument's text to the scans it holds: what was read, and to which unit each code belongs. Pure."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from commands.refusals import Refused
from engineering.codes import Code, CodeStatus, CodeSystem, Readout, read_text
from findings.faults.actions import CodeSeen
from findings.faults.extent import doubt_about_everything
from findings.faults.listed import ListedCode, OfCode

_SIDES = {
    "port": re.compile(r"\b(?:port|b[aå]bord|backbord|babor|bakboord|bombordo|paapuuri)\b", re.IGNORECASE),
    "starboard": re.compile(
        r"\b(?:starboard|stbd|steuerbord|tribord|estribor|stuurboord|estibordo|styrbord|tyyrpuuri)\b", re.IGNORECASE
    ),
    "center": re.compile(r"\b(?:center|centre)\b", re.IGNORECASE),
    "generator": re.compile(r"\b(?:generator|genset|generateur)\b", re.IGNORECASE),
}
_OWN_UNIT = re.compile(
    r"(?:engine|motor|moteur|motore|ecm|ecu|pcm|unit|module|controller)(?:[ :=-]+(?:ecm|ecu|pcm))?", re.IGNORECASE
)


@dataclass(frozen=True)
class CodeRead(OfCode):
    """One code of the text. ``status`` None: the text gives none. ``unit_id`` is where it is going to be logged.

    ``reason`` says why it is only offered: such a code is not ticked until a person ticks it. ``unread`` says what was
    said of it and could not be told; ``under`` is the engine or unit that the text puts it under.
    """

    index: int
    code: Code
    status: CodeStatus | None
    count: int | None
    source_address: int | None
    lines: tuple[int, ...]
    problem: str
    unit_id: int
    is_taken: bool = True
    reason: str = ""
    unread: tuple[str, ...] = ()
    under: str = ""

    @property
    def where(self) -> str:
        """The lines of the text it stands in."""
        shown = ", ".join(str(number) for number in self.lines[:4])
        more = f" and {len(self.lines) - 4} more" if len(self.lines) > 4 else ""
        return f"line {shown}" if len(self.lines) == 1 else f"lines {shown}{more}"


def _of_a_part(sentence: str) -> bool:
    """Whether a line is a reply to one service, a refusal of one, or says that nothing answered."""
    return any(words in sentence.lower() for words in ("reply to service", "refused service", "gave no answer"))


@dataclass(frozen=True)
class PasteRead:
    """A text as read: line by line, and its codes, each once for each status and sender."""

    readout: Readout
    codes: Sequence[CodeRead]
    digest: str

    @property
    def not_understood(self) -> int:
        """How many lines were not wholly understood."""
        return len(self.readout.not_understood_lines)

    @property
    def lacks_status(self) -> bool:
        """Whether some code has no status in the text."""
        return any(code.status is None for code in self.codes)

    @property
    def offered(self) -> int:
        """How many codes are only offered, as the text may not mean that they are there."""
        return sum(bool(code.reason) for code in self.codes)

    @property
    def usual_extent(self) -> str:
        """What the text most likely is: "all", or "" where the technician has to say.

        Frames of one message list only codes of one status, and a line that was not understood may hold a code. So may
        a text that names one status only, or says of one status only that it has no codes. A text that neither lists a
        code nor says that there are none tells of no list, and what did not answer, or refused, left a part of it out.
        """
        if self.not_understood or self.offered or any(code.source_address is not None for code in self.codes):
            return ""
        if len({code.under for code in self.codes}) > 1:
            return ""
        if not self.codes and not self.readout.no_codes_at_all:
            return ""
        if len(self.readout.lists) == 1:
            return ""
        if any(_of_a_part(line.sentence) for line in self.readout.lines):
            return ""
        return "all"


def read_pasted(
    text: str,
    *,
    unit_id: int,
    preferred: CodeSystem,
    unit_by_address: Mapping[int, int],
    positions: Mapping[int, str] | None = None,
) -> PasteRead:
    """Read a text; codes from an address that is one unit's go to that unit, all others to ``unit_id``.

    ``positions`` gives each unit the place of its engine ("port"), so that codes under "Starboard engine" go there.
    What the text puts under an engine or unit that cannot be told is only offered.
    """
    readout = read_text(text, preferred=preferred)
    named = {seen.unit for seen in readout.codes if seen.unit}
    merged: dict[tuple[Code, CodeStatus | None, int | None, str], CodeRead] = {}
    for seen in readout.codes:
        under, reason = seen.unit or "", seen.reason or ""
        key = (seen.code, seen.status, seen.source_address, under)
        problem = seen.problem or ""
        unit = unit_id
        if under:
            unit, doubt = unit_under(under, unit_id, positions or {}, is_only=len(named) == 1)
            reason = reason or doubt
        if seen.source_address is not None and seen.source_address in unit_by_address:
            unit = unit_by_address[seen.source_address]
        elif seen.source_address is not None and unit_by_address:
            problem = problem or f"Address {seen.source_address} is not a unit of this boat: check the unit."
        before = merged.get(key)
        if before is None:
            merged[key] = CodeRead(
                len(merged), seen.code, seen.status, seen.count, seen.source_address, (seen.line,), problem, unit,
                not reason, reason, seen.unread, under,
            )  # fmt: skip
        else:
            counts = [count for count in (before.count, seen.count) if count is not None]
            lines = before.lines if seen.line in before.lines else (*before.lines, seen.line)
            reason = before.reason and reason
            merged[key] = replace(
                before, count=max(counts, default=None), lines=lines, reason=reason, is_taken=not reason
            )
    return PasteRead(readout, list(merged.values()), hashlib.sha256(text.encode()).hexdigest())


def unit_under(under: str, chosen: int, positions: Mapping[int, str], *, is_only: bool) -> tuple[int, str]:
    """The unit that a text's heading means, and why that is not sure; ``is_only``: the text names no other one.

    Port and starboard are told by the place of the engine. A heading such as "ECM" that is the only one is the unit
    that was chosen for the text; a number, a gear or another engine is not guessed.
    """
    side = next((place for place, words in _SIDES.items() if words.search(under)), "")
    doubt = f"The text puts it under “{under}”: make sure which unit that is, then select it."
    if side:
        there = [unit for unit, position in positions.items() if position == side]
        if chosen in there:
            return chosen, ""
        return (there[0], "") if len(there) == 1 else (chosen, doubt)
    return (chosen, "") if is_only and _OWN_UNIT.fullmatch(under) else (chosen, doubt)


def with_answers(read: PasteRead, data: Mapping[str, Any], unit_ids: Sequence[int]) -> PasteRead:
    """The codes with what was ticked, chosen and put right in the preview."""
    changed = []
    for one in read.codes:
        status = str(data.get(f"code-{one.index}-status", one.status or ""))
        unit = str(data.get(f"code-{one.index}-unit", one.unit_id))
        changed.append(
            replace(
                one,
                status=CodeStatus(status) if status in set(CodeStatus) else None,
                unit_id=next((key for key in unit_ids if str(key) == unit), one.unit_id),
                is_taken=f"code-{one.index}-take" in data,
            )
        )
    return PasteRead(read.readout, changed, read.digest)


def with_all_ticks(read: PasteRead, ticks: str) -> PasteRead:
    """All codes ticked ("all"), none ("none"), or those that the text is clear about ("clear"); else as they are."""
    if ticks not in ("all", "none", "clear"):
        return read
    changed = [replace(one, is_taken=ticks == "all" or (ticks == "clear" and not one.reason)) for one in read.codes]
    return PasteRead(read.readout, changed, read.digest)


def extent_doubt(read: PasteRead, gone: Sequence[str]) -> str:
    """Why a text can hardly prove that what it does not list is gone; empty where it can.

    ``gone`` are the open codes that would count as gone.
    """
    count, unread = read.not_understood, ""
    if count:
        unread = "1 line was not understood and may hold a code."
        unread = unread if count == 1 else f"{count:,} lines were not understood and may hold codes."
    taken = {one.code for one in read.codes if one.is_taken}
    left_out = dict.fromkeys(one.label for one in read.codes if one.code not in taken)
    return doubt_about_everything("text", unread, list(left_out), gone)


def codes_by_unit(
    read: PasteRead, *, more: Sequence[ListedCode], unit_id: int, status: str
) -> dict[int, list[CodeSeen]]:
    """The codes to log, by unit; the unit chosen for the whole text is always there.

    Raises:
        Refused: a code has no status.
    """
    usual = CodeStatus(status) if status in set(CodeStatus) else None
    taken: dict[int, list[CodeSeen]] = {unit_id: [one.as_seen for one in more]}
    for one in read.codes:
        if not one.is_taken:
            continue
        known = one.status or usual
        if known is None:
            raise Refused(
                "The text gives no status for some codes.",
                fields={"status": "Say what the codes without a status are."},
            )
        taken.setdefault(one.unit_id, []).append(CodeSeen(one.code, known, one.count))
    if not taken[unit_id] and len(taken) > 1:
        del taken[unit_id]
    return taken
