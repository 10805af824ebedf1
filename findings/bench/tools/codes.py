"""Fault codes by themselves: what a code says, as written or as the bytes of a trouble code."""

from __future__ import annotations

import re

from engineering.codes import Code, CodeSystem, explain, recognize
from engineering.codes.obd import decode_dtc
from engineering.codes.spn import Dtc, unpack_dtc
from findings.bench.tool import Choice, Example, Given, Group, Outcome, Told, Tool, ToolProblem, Words

_SYSTEMS = {"flash": CodeSystem.FLASH, "spn": CodeSystem.SPN, "j1587": CodeSystem.J1587, "obd": CodeSystem.OBD}
_HEX = re.compile(r"(?:[0-9A-Fa-f]{2}[ :,-]?){2,4}")
_BYTES = {"spn": "four bytes of an SPN trouble code", "obd": "two or three bytes of a P, C, B or U code"}


def _meaning(given: Given) -> Outcome:
    """The code in words, from its notation or its bytes."""
    written, system = given.words("code"), given.choice("system")
    if given.choice("form") == "bytes":
        return _of_bytes(written, system)
    code = recognize(written, preferred=_SYSTEMS.get(system))
    if code is None:
        raise ToolProblem(
            "This is not one complete code. Write it like P0217, P0133-11, SPN 110 FMI 0, 110-0 or MID 128 PID 110 "
            "FMI 3; for a blink code such as 2-3, choose flash code.",
            field="code",
        )
    return _of_code(code)


def _of_code(code: Code, *figures: Told) -> Outcome:
    explanation = explain(code)
    named = f"Flash code {code}" if code.system is CodeSystem.FLASH else code
    return Outcome(
        f"{named}: {explanation.title}.",
        figures=figures,
        notes=(*explanation.facts, f"Source: {explanation.source}."),
    )


def _of_bytes(written: str, system: str) -> Outcome:
    """A trouble code in hex: its length says which kind, if it is not chosen."""
    if not _HEX.fullmatch(written.strip()):
        raise ToolProblem("Enter two to four bytes in hex, such as 6E 00 00 01 or 01 33.", field="code")
    sent = bytes.fromhex(re.sub("[^0-9A-Fa-f]", "", written))
    is_spn = len(sent) == 4
    if system in _BYTES and is_spn is not (system == "spn"):
        raise ToolProblem(f"These are {len(sent)} bytes; write the {_BYTES[system]}.", field="code")
    if system == "flash":
        raise ToolProblem("A flash code is blinked and has no bytes. Choose another kind of code.", field="system")
    if system == "j1587":
        raise ToolProblem("Write this kind with its numbers, like MID 128 PID 110 FMI 3.", field="code")
    if is_spn:
        return _of_dtc(unpack_dtc(sent))
    text = decode_dtc(*sent)
    if text is None:
        return Outcome("Two zero bytes fill an empty place: there is no code in them.")
    return _of_code(Code(CodeSystem.OBD, text), Told("Code", text))


def _of_dtc(dtc: Dtc) -> Outcome:
    count = "none kept" if dtc.count is None else str(dtc.count)
    told = (Told("FMI", str(dtc.fmi)), Told("Count", count))
    if dtc.raw == b"\xff" * 4:
        return Outcome("Bytes of FF fill a place that is not used: there is no code in them.")
    if dtc.raw == bytes(4):
        return Outcome("Four zero bytes say that there is no code.")
    if dtc.spn is None:
        possible = ", ".join(str(spn) for spn in dict.fromkeys(dtc.possible_spns))
        return Outcome(
            "The SPN cannot be known: the unit uses an older byte order and does not say which.",
            figures=(Told("SPN, one of", possible), *told),
            notes=("The maker's manual says which order the unit uses; do not guess.",),
        )
    return _of_code(Code(CodeSystem.SPN, dtc.text), Told("SPN", str(dtc.spn)), *told)


TOOLS = (
    Tool(
        slug="code-meaning",
        title="What a code says",
        group=Group.CODES,
        purpose="As far as open standards say it; the rest is the engine maker's.",
        fields=(
            Words(
                "code", "Code", hint="P0217, P0133-11, SPN 110 FMI 0, 110-0, or bytes: 6E 00 00 01, 01 33.", longest=40
            ),
            Choice(
                "form",
                "Written as",
                [("code", "Code"), ("bytes", "Bytes in hex")],
                default="code",
            ),
            Choice(
                "system",
                "Kind of code",
                [
                    ("any", "Detect it"),
                    ("spn", "SPN and FMI"),
                    ("j1587", "MID, PID or SID, FMI"),
                    ("obd", "P, C, B, U"),
                    ("flash", "Flash code"),
                ],
                default="any",
            ),
        ),
        work=_meaning,
        formula="SPN of 19 bits, low byte first, FMI of 5; letter and digit of 2 bits each, then three hex digits",
        source="SAE J1939-73, SAE J2012 / ISO 15031-6 as open implementations have them",
        is_logged=False,
        example=Example(
            {"code": "5B 00 03 01", "form": "bytes", "system": "any"},
            expects={"SPN": "91", "FMI": "3", "Count": "1"},
            source="pretty_j1939 (open source), its tests of diagnostic messages",
        ),
    ),
)
