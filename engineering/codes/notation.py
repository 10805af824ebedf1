"""From what a person types to one canonical code."""

import re
import unicodedata

from engineering.codes import j1587
from engineering.codes.code import Code, CodeProblem, CodeSystem
from engineering.codes.network_status import STATUS_BITS
from engineering.codes.ranges import beyond
from engineering.codes.spn import MAX_FMI, MAX_SPN

_NAMED_SPN = re.compile(r"(?:SPN|S)[ :=#.]{0,3}([0-9]{1,20})[ ,;:/.-]{0,4}(?:FMI|F)[ :=#.]{0,3}([0-9]{1,20})")
_LONG_PAIR = re.compile(r"([0-9]{1,20}) ?[-/] ?([0-9]{1,20})")
_BEGINS_AS_PAIR = re.compile(r"(?:SPN ?)?[0-9]{1,6} ?(?:[-/.]|FMI) ?[0-9]{1,2}(?![0-9])")
_BARE_PAIR = re.compile(r"([0-9]{1,6}) ?([-/]) ?([0-9]{1,2})")
_POINTED_PAIR = re.compile(r"([0-9]{1,6})\.([0-9]{1,2})")
_OBD = re.compile(r"([PCBU])([0-3])([0-9A-F]{3})(?:[-:]([0-9A-F]{2}))?")
_OBD_LIKE = re.compile(r"([PCBU])([0-9OI])([0-9A-FOI]{3})(?:[-: ]?([0-9A-FOI]{2}))?")
_FLASH = re.compile(r"[0-9]{1,3}|[0-9](?:[- ][0-9]){1,3}")
_NAMED_FLASH = re.compile(r"(?:FLASH|BLINK)(?: ?CODE)?[ :=#]{0,3}([0-9]{1,3}|[0-9](?:-[0-9]){1,3})")
_MAKER = re.compile(r"[A-Z0-9](?:[A-Z0-9 ._/:+-]{0,22}[A-Z0-9])?")
_UNNAMED_STATUS = re.compile(r"(?:engine|transmission)-status-[12]-bit-(?:[0-9]|1[0-5])")
_MAX_TYPED = 60


def make_code(system: CodeSystem, text: str) -> Code:
    """The code of ``system`` that ``text`` writes, in canonical spelling.

    SPN: "110-0", from "110-0", "110/0", "110.0", "110 0" or "SPN 110 FMI 0". OBD: "P0217" or "P0217-00". Flash: one
    to three digits, or blinks with hyphens, "2-3". J1587: "128-P110-3", from that or "MID 128 PID 110 FMI 3".
    Maker's own: up to 24 letters, digits and . _ / : + - in capitals.
    Status: the key of a bit of :mod:`engineering.codes.network_status`, "low-oil-pressure".
    Raises :class:`CodeProblem` with a sentence that says what is wrong and how to mend it.
    """
    written = _tidied(text)
    if not written:
        raise CodeProblem("Enter the code.")
    return Code(system, _MAKERS[system](written))


def recognize(text: str, *, preferred: CodeSystem | None = None) -> Code | None:
    """The code that ``text`` is, whole, or None where it is none or could be several.

    "SPN 110 FMI 0", "P0217" and "flash code 23" name their system and are read so whatever is preferred. A bare
    "110-0" is an SPN unless another system is preferred; with one digit before the sign, or two numbers that could
    be a date such as 12/03, only if SPN is preferred. A bare "23" or "2-3" needs flash, and any other word
    needs the maker's system, as ``preferred``.
    """
    written = _tidied(text)
    if not written or len(written) > _MAX_TYPED:
        return None
    system = _system_of(written, preferred)
    if system is None:
        return None
    try:
        return make_code(system, written)
    except CodeProblem:
        return None


def pair_could_be_else(spn: str, sign: str, fmi: str) -> bool:
    """Whether a bare pair of numbers could as well be a blink code or a date, so that SPN must be named for it."""
    return len(spn) < 2 or (sign == "/" and int(spn) <= 31 and 1 <= int(fmi) <= 12)


def _system_of(written: str, preferred: CodeSystem | None) -> CodeSystem | None:
    for system, is_named in _NAMED:
        if is_named(written):
            return system
    if preferred is not None:
        return preferred
    pair = _BARE_PAIR.fullmatch(written)
    if pair and not pair_could_be_else(*pair.groups()):
        return CodeSystem.SPN
    return None


def _tidied(text: str) -> str:
    dashes = str.maketrans("‐‑‒–—−", "------")
    return " ".join(unicodedata.normalize("NFKC", text[:200]).translate(dashes).upper().split())


def _spn_text(written: str) -> str:
    spaced = re.fullmatch(r"([0-9]{1,6})[ ,;]{1,3}([0-9]{1,2})", written)
    match = _NAMED_SPN.fullmatch(written) or _POINTED_PAIR.fullmatch(written) or spaced
    match = match or _LONG_PAIR.fullmatch(written)
    if match is None and _BEGINS_AS_PAIR.match(written):
        raise CodeProblem(f"“{written[:30]}” has more in it than an SPN and an FMI. Enter these alone, like 110-0.")
    if match is None:
        raise CodeProblem(f"“{written[:30]}” is not an SPN with an FMI. Enter both, like 110-0 or SPN 110 FMI 0.")
    spn, fmi = int(match.group(1)), int(match.group(2))
    if sentence := _too_large(spn, fmi):
        raise CodeProblem(sentence)
    if not spn and not fmi:
        raise CodeProblem("SPN 0 with FMI 0 is how a unit says that it has no code.")
    return f"{spn}-{fmi}"


def _too_large(spn: int, fmi: int) -> str:
    return beyond(("SPN", spn, MAX_SPN), ("FMI", fmi, MAX_FMI))


def beyond_range(text: str) -> str:
    """Which number of a text that is written as an SPN with an FMI is too large; empty for any other text."""
    written = _tidied(text)
    match = _NAMED_SPN.fullmatch(written) or _LONG_PAIR.fullmatch(written)
    return _too_large(int(match.group(1)), int(match.group(2))) if match else ""


def _j1587_text(written: str) -> str:
    parts = j1587.parts_of(written)
    if parts is None:
        raise CodeProblem(
            f"“{written[:30]}” is not a code with MID, PID or SID, and FMI. Enter all three, like MID 128 PID 110 "
            "FMI 3."
        )
    if sentence := j1587.too_large(*parts):
        raise CodeProblem(sentence)
    mid, kind, number, fmi = parts
    return f"{mid}-{kind}{number}-{fmi}"


def _obd_text(written: str) -> str:
    match = _OBD.fullmatch(written)
    if match is None:
        like = _OBD_LIKE.fullmatch(written)
        if like:
            letter, digit, rest, failure_type = like.groups()
            mended = f"{digit}{rest}{'-' + failure_type if failure_type else ''}".replace("O", "0").replace("I", "1")
            if _OBD.fullmatch(letter + mended):
                raise CodeProblem(f"“{written}” is not a code as written. If {letter}{mended} is meant, write it so.")
        raise CodeProblem(
            f"“{written[:30]}” is not a P, C, B or U code. Such a code is a letter, a digit from 0 to 3 and three more "
            f"characters 0 to 9 or A to F, like P0217, with a failure type like P0217-00 if there is one."
        )
    letter, digit, rest, failure_type = match.groups()
    if f"{letter}{digit}{rest}" == "P0000":
        raise CodeProblem("P0000 is how a unit fills an empty place: it is not a code.")
    return f"{letter}{digit}{rest}" + (f"-{failure_type}" if failure_type else "")


def _flash_text(written: str) -> str:
    named = _NAMED_FLASH.fullmatch(written)
    code = named.group(1) if named else written
    if not _FLASH.fullmatch(code):
        raise CodeProblem(
            f"“{written[:30]}” is not a flash code. Write up to three digits, like 23, or blinks like 2-3."
        )
    return code.replace(" ", "-")


def _maker_text(written: str) -> str:
    if not _MAKER.fullmatch(written):
        raise CodeProblem(
            f"“{written[:30]}” cannot be a maker's code here: at most 24 letters, digits, spaces and . _ / : + - "
            f"with a letter or digit at both ends."
        )
    return written


def _status_text(written: str) -> str:
    key = written.lower().replace(" ", "-")
    if key not in STATUS_BITS and not _UNNAMED_STATUS.fullmatch(key):
        raise CodeProblem(f"“{written[:30]}” is not a status bit that an engine or a transmission sends.")
    return key


_MAKERS = {
    CodeSystem.SPN: _spn_text,
    CodeSystem.J1587: _j1587_text,
    CodeSystem.OBD: _obd_text,
    CodeSystem.FLASH: _flash_text,
    CodeSystem.MAKER: _maker_text,
    CodeSystem.STATUS: _status_text,
}
_NAMED = (
    (CodeSystem.SPN, _NAMED_SPN.fullmatch),
    (CodeSystem.J1587, j1587.parts_of),
    (CodeSystem.OBD, _OBD.fullmatch),
    (CodeSystem.FLASH, _NAMED_FLASH.fullmatch),
)
"""What names its system by how it is written."""
