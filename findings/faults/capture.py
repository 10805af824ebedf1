"""The codes that a technician is listing for one scan. The list travels in the form, never in the session."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from commands.refusals import Refused
from engineering.codes import (
    Code,
    CodeProblem,
    CodeStatus,
    CodeSystem,
    Explanation,
    explain,
    make_code,
    read_text,
    recognize,
    says_more_than_a_code,
)
from findings.faults.actions import MOST_CODES, MOST_COUNTED, CodeSeen
from findings.models import Scan
from vessels.models import ControlUnit, LogEntry

_SEPARATORS = re.compile(r"[,;\n]+")
_LIKE_OBD = re.compile(r"\s*[PCBU]\s*[0-9]", re.IGNORECASE)
_LIKE_SPN = re.compile(r"SPN|FMI|^\s*[0-9]+\s*[-/.:]\s*[0-9]+\s*$", re.IGNORECASE)
_KIND_WORDS = {
    CodeSystem.SPN: "SPN/FMI",
    CodeSystem.OBD: "a P/C/B/U code",
    CodeSystem.FLASH: "a flash code",
    CodeSystem.MAKER: "one of the maker's own",
}


@dataclass(frozen=True)
class ListedCode:
    """One line of the list."""

    code: Code
    status: CodeStatus
    count: int | None = None

    @property
    def label(self) -> str:
        """The code as people write it."""
        return f"Flash {self.code}" if self.code.system is CodeSystem.FLASH else str(self.code)

    @property
    def meaning(self) -> Explanation:
        """What the code means by itself."""
        return explain(self.code)

    @property
    def as_seen(self) -> CodeSeen:
        """For the action."""
        return CodeSeen(self.code, self.status, self.count)


def codes_of(scan: Scan) -> list[ListedCode]:
    """The codes that a scan listed."""
    return [ListedCode(row.as_code, CodeStatus(row.status), row.count) for row in scan.sightings.all()]


def code_key(code: Code) -> str:
    """A code in one word for buttons and addresses: "spn:110-0"."""
    return f"{code.system.value}:{code.text}"


def code_of_key(key: str) -> Code:
    """The code that ``code_key`` made into one word.

    Raises:
        Refused: it is not one.
    """
    system, _, text = key.partition(":")
    try:
        return make_code(CodeSystem(system), text)
    except (CodeProblem, ValueError) as problem:
        raise Refused("This code arrived damaged. Enter it again.") from problem


def write_list(listed: Sequence[ListedCode]) -> str:
    """The list as the form carries it."""
    return json.dumps([[one.code.system.value, one.code.text, one.status.value, one.count] for one in listed])


def read_list(text: str) -> list[ListedCode]:
    """The list that the form carried.

    Raises:
        Refused: it was damaged on its way.
    """
    if not text.strip():
        return []
    try:
        rows = json.loads(text)
        listed = [_read_row(row) for row in rows]
    except (ValueError, TypeError, CodeProblem, RecursionError) as problem:
        raise Refused("The list of codes arrived damaged. Add the codes again.") from problem
    if len(listed) > MOST_CODES:
        raise Refused(f"More than {MOST_CODES} codes in one scan.")
    return listed


def _read_row(row: Sequence[object]) -> ListedCode:
    system, text, status, count = row
    if count is not None and (not isinstance(count, int) or not 0 <= count <= MOST_COUNTED):
        raise ValueError("count")
    return ListedCode(make_code(CodeSystem(str(system)), str(text)), CodeStatus(str(status)), count)


def with_row_answers(listed: Sequence[ListedCode], data: Mapping[str, Any]) -> tuple[list[ListedCode], str]:
    """The list with the statuses and counts that were set in its rows, and what is wrong with a count.

    A count that is none leaves the row as it was, so that the list is never lost.
    """
    changed, problem = [], ""
    for index, one in enumerate(listed):
        status = str(data.get(f"row-{index}-status", one.status))
        count = one.count
        try:
            count = read_count(str(data.get(f"row-{index}-count", "" if count is None else count)), one.label)
        except Refused as refusal:
            problem = f"{refusal.sentence} {refusal.fields['count']}"
        changed.append(
            replace(one, status=CodeStatus(status) if status in set(CodeStatus) else one.status, count=count)
        )
    return changed, problem


def read_count(text: str, label: str = "") -> int | None:
    """A count as typed; None for nothing.

    Raises:
        Refused: it is not a whole number that a unit could give.
    """
    written = text.strip()
    if not written:
        return None
    if not written.isascii() or not written.isdigit() or int(written[:9]) > MOST_COUNTED:
        of = f" of {label}" if label else ""
        raise Refused(
            f"The count{of} is not a number.", fields={"count": f"A whole number up to {MOST_COUNTED:,}, or nothing."}
        )
    return int(written[:9])


def add_to_list(listed: Sequence[ListedCode], new: Sequence[ListedCode]) -> list[ListedCode]:
    """The list with codes added; one that is there with that status already gets the new count."""
    kept = {(one.code, one.status): one for one in listed}
    for one in new:
        before = kept.get((one.code, one.status))
        kept[one.code, one.status] = one if one.count is not None or before is None else before
    return list(kept.values())


def codes_typed(
    text: str, *, status: CodeStatus, count: int | None, system: CodeSystem | None, preferred: CodeSystem
) -> list[ListedCode]:
    """The code that was typed, or several with their own statuses and counts in one go.

    Raises:
        Refused: something in it is no code; the sentence says what to write.
    """
    if system is not None:
        try:
            return [ListedCode(make_code(system, text), status, count)]
        except CodeProblem as problem:
            sentence = problem.sentence + _other_kind(text, but=system)
            raise Refused("This code is not complete or not correct.", fields={"code": sentence}) from problem
    code = recognize(text, preferred=preferred) or _written_apart(text)
    if code is not None and not (code.system is CodeSystem.MAKER and says_more_than_a_code(text)) and "?" not in text:
        return [ListedCode(code, status, count)]
    readout = read_text("\n".join(_SEPARATORS.split(text)), preferred=preferred, typed=True)
    unsure = next((one for one in readout.codes if one.reason or one.unread), None)
    if unsure is not None and not readout.not_understood_lines:
        why = unsure.reason or unsure.unread[0]
        raise Refused("Not all of this was read.", fields={"code": f"“{unsure.raw}”: {why}"})
    if unit := next((one.unit for one in readout.codes if one.unit), None):
        sentence = f"“{unit}” names an engine or unit: choose it above, and write the code alone."
        raise Refused("Not all of this was read.", fields={"code": sentence})
    if readout.codes and not readout.not_understood_lines:
        return [ListedCode(one.code, one.status or status, one.count) for one in readout.codes]
    if readout.codes:
        line = readout.not_understood_lines[0]
        raise Refused("Not all of this was read.", fields={"code": f"“{line.text.strip()}”: {line.sentence}"})
    raise Refused("This code is not complete or not correct.", fields={"code": _why_not(text, preferred)})


def _written_apart(text: str) -> Code | None:
    """A P, C, B or U code with blanks in it, as displays break it: "P 0217"."""
    code = recognize("".join(text.split()), preferred=CodeSystem.OBD)
    return code if code is not None and code.system is CodeSystem.OBD else None


def _other_kind(text: str, *, but: CodeSystem) -> str:
    """What the text is a code of, where it was put under another kind; empty where it is none."""
    code = recognize(text, preferred=but)
    if code is None or code.system not in _KIND_WORDS or code.system is but:
        return ""
    return f" It reads as {_KIND_WORDS[code.system]}: take that as its kind."


def _why_not(text: str, preferred: CodeSystem) -> str:
    """Why this is no code, by the kind that it looks like, and what else it may be."""
    likely = preferred
    if _LIKE_OBD.match(text):
        likely = CodeSystem.OBD
    elif _LIKE_SPN.search(text):
        likely = CodeSystem.SPN
    try:
        make_code(likely, text)
    except CodeProblem as problem:
        sentence = problem.sentence
    else:
        return "This is not a code that is known here. Choose its kind beside it."
    if likely is not preferred:
        return sentence
    if text.strip().isdigit() and len(text.strip()) <= 3 and likely is not CodeSystem.FLASH:
        return sentence + " If the unit blinks this number, choose Flash as its kind."
    return sentence + " If the maker writes it so, choose Maker's own as its kind."


@dataclass
class Capture:
    """A scan being put together."""

    unit: ControlUnit
    listed: list[ListedCode]
    typed: dict[str, str] = field(default_factory=dict)
    corrected: LogEntry | None = None
    code_problem: str = ""
    focus: str = ""
    said: str = ""


def change_list(capture: Capture, data: Mapping[str, Any], *, keep_typed: bool) -> None:
    """Apply the button that was touched to the list."""
    if "switch" in data:
        capture.focus, capture.said = "unit", f"Now the codes of {capture.unit}."
    elif "take" in data:
        code = code_of_key(data.get("take", ""))
        taken = ListedCode(code, CodeStatus.ACTIVE)
        capture.listed = add_to_list(capture.listed, [taken])
        capture.focus, capture.said = "list", f"{taken.label} added as active."
    elif "drop" in data:
        code = code_of_key(data.get("drop", ""))
        capture.listed = [one for one in capture.listed if one.code != code]
        capture.focus, capture.said = "list", f"{code} removed from the list."
    elif "remove" in data:
        for index, one in enumerate(capture.listed):
            if str(index) == data.get("remove"):
                capture.listed.remove(one)
                capture.said = f"{one.label} removed from the list."
                break
        capture.focus = "list"
    elif data.get("do") == "add" or (data.get("do") == "log" and capture.typed["code"].strip()):
        _add_typed(capture)
        capture.focus = "code" if keep_typed else ""


def _add_typed(capture: Capture) -> None:
    typed = capture.typed
    if not typed["code"].strip():
        raise Refused("Enter the code first.", fields={"code": "Enter a code first, such as 110-0 or P0217."})
    system = CodeSystem(typed["system"]) if typed["system"] in set(CodeSystem) else None
    status = CodeStatus(typed["status"]) if typed["status"] in set(CodeStatus) else CodeStatus.ACTIVE
    new = codes_typed(
        typed["code"],
        status=status,
        count=read_count(typed["count"]),
        system=system,
        preferred=CodeSystem(capture.unit.code_system),
    )
    capture.listed = add_to_list(capture.listed, new)
    capture.said = ", ".join(f"{one.label} {one.status}" for one in new) + " added."
    typed |= dict.fromkeys(["code", "count", "system", "status"], "")  # the next code says its own status
