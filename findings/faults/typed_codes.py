"""What a person types into the field for a code: one code, or several with their statuses and counts."""

from __future__ import annotations

import re
from dataclasses import replace

from commands.refusals import Refused
from engineering.codes import (
    Code,
    CodeProblem,
    CodeStatus,
    CodeSystem,
    count_behind,
    make_code,
    number_left_over,
    read_text,
    recognize,
    says_more_than_a_code,
    unit_beside,
)
from findings.faults.listed import ListedCode, read_count

_SEPARATORS = re.compile(r"[,;\n]+")
_LIKE_OBD = re.compile(r"\s*[PCBU]\s*[0-9]", re.IGNORECASE)
_LIKE_J1587 = re.compile(r"(?<![A-Z])(?:MID|P?[PS]ID)(?![A-Z])", re.IGNORECASE)
_LIKE_SPN = re.compile(r"SPN|FMI|^\s*[0-9]+\s*[-/.:]\s*[0-9]+\s*$", re.IGNORECASE)
_KIND_WORDS = {
    CodeSystem.SPN: "SPN/FMI",
    CodeSystem.J1587: "a code with MID, PID or SID, and FMI",
    CodeSystem.OBD: "a P/C/B/U code",
    CodeSystem.FLASH: "a flash code",
    CodeSystem.MAKER: "one of the maker's own",
}


def codes_typed(
    text: str, *, status: CodeStatus, count: int | None, system: CodeSystem | None, preferred: CodeSystem
) -> list[ListedCode]:
    """The code that was typed, or several with their own statuses and counts in one go.

    Raises:
        Refused: something in it is no code; the sentence says what to write.
    """
    parts = [count_behind(part, chosen=system) for part in _SEPARATORS.split(text) if part.strip()]
    if any(said for _, said in parts):
        read = [_counted(part, said, status=status, system=system, preferred=preferred) for part, said in parts]
        found = [one for codes in read for one in codes]
    elif system is not None:
        found = [_of_chosen_kind(text, status, system)]
    else:
        found = _of_any_kind(text, status, preferred)
    return _with_count_of_field(found, count)


def _counted(
    part: str, said: str, *, status: CodeStatus, system: CodeSystem | None, preferred: CodeSystem
) -> list[ListedCode]:
    """The code of one part of what was typed, with the count behind it."""
    try:
        count = read_count(said)
    except Refused as refusal:
        refusal.fields["code"] = f"The count behind {part}: {refusal.fields.pop('count')}"
        raise
    found = [_of_chosen_kind(part, status, system)] if system else _of_any_kind(part, status, preferred)
    return [replace(one, count=count) for one in found] if said else found


def _with_count_of_field(found: list[ListedCode], count: int | None) -> list[ListedCode]:
    """The codes with what stands in the field for the count, which is one code's."""
    if count is None:
        return found
    if len(found) > 1:
        raise Refused(
            "One count for several codes.",
            fields={"code": "Enter the codes one by one, or each with its count behind it, like 110-0 x3."},
        )
    if found[0].count not in (None, count):
        raise Refused(
            "Two counts for one code.",
            fields={"code": f"The code says {found[0].count} times and the count {count}. Enter the right count once."},
        )
    return [replace(found[0], count=count)]


def _of_chosen_kind(text: str, status: CodeStatus, system: CodeSystem) -> ListedCode:
    try:
        return ListedCode(make_code(system, text), status)
    except CodeProblem as problem:
        sentence = problem.sentence + _other_kind(text, but=system)
        raise Refused("This code is not complete or not correct.", fields={"code": sentence}) from problem


def _of_any_kind(text: str, status: CodeStatus, preferred: CodeSystem) -> list[ListedCode]:
    code = recognize(text, preferred=preferred) or _written_apart(text)
    if code is not None and not (code.system is CodeSystem.MAKER and says_more_than_a_code(text)) and "?" not in text:
        return [ListedCode(code, status)]
    readout = read_text("\n".join(_SEPARATORS.split(text)), preferred=preferred, typed=True)
    unsure = next((one for one in readout.codes if one.reason or one.unread), None)
    if unsure is not None and not readout.not_understood_lines:
        why = unsure.reason or unsure.unread[0]
        raise Refused("Not all of this was read.", fields={"code": f"“{unsure.raw}”: {why}"})
    named = (unit_beside(part, preferred).lower() for part in _SEPARATORS.split(text) if readout.codes)
    if unit := next((one.unit for one in readout.codes if one.unit), None) or next(filter(None, named), None):
        sentence = f"“{unit}” names an engine or unit: choose it above, and write the code alone."
        raise Refused("Not all of this was read.", fields={"code": sentence})
    whole = {one.code.text for one in readout.codes}
    numbers = (number_left_over(part, preferred) for part in _SEPARATORS.split(text))
    left = next((number for number in numbers if number and number.upper() not in whole), "")
    if readout.codes and left:
        sentence = f"“{left}” was not read as part of a code. Write each code whole, with a comma between them."
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
    elif _LIKE_J1587.search(text):
        likely = CodeSystem.J1587
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
