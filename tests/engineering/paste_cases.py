"""The corpus of pasted texts: its files, the variations made by rule, and how a reading of one is judged."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import count
from pathlib import Path

from engineering.codes import CodeSystem, Readout

FOLDER = Path(__file__).parent / "paste_corpus"
KNOWN = ("without_codes_notes.txt", "without_codes_papers.txt", "with_codes.txt")
HELD_OUT = ("heldout.txt",)
SHORTER = ("shorter.txt",)
FRESH = ("fresh.txt", "truth.txt")
NOT_READ = {"truth-hand-2", "truth-part-7", "truth-part-8", "truth-sep-10"}
"""Texts whose codes are there and are not read; their lines are said not to be understood."""
_SYSTEMS = {"flash": CodeSystem.FLASH, "maker": CodeSystem.MAKER, "spn": CodeSystem.SPN}
_CODE = re.compile(
    r"#> (?P<code>\S+)(?: (?P<status>active|stored|pending|permanent|-))?(?: x(?P<count>\d+))?(?: @(?P<unit>.+))?"
)


@dataclass(frozen=True)
class Judged:
    """A code that is there. None: must not be claimed."""

    code: str
    status: str | None = None
    count: int | None = None
    unit: str | None = None


@dataclass
class PasteCase:
    """One text and what a careful mechanic makes of it."""

    name: str
    text: str = ""
    preferred: CodeSystem | None = None
    codes: list[Judged] = field(default_factory=list)
    mentioned: list[str] = field(default_factory=list)
    says_none: bool = False


def known_cases() -> list[PasteCase]:
    """Those that the reader may be mended by."""
    return [*_of_files(KNOWN), *(case for number, case in _variations() if number % 2)]


def held_out_cases() -> list[PasteCase]:
    """Those that it is only measured by."""
    return [*_of_files(HELD_OUT), *(case for number, case in _variations() if not number % 2)]


def shorter_cases() -> list[PasteCase]:
    """Those that were thought of while the reader was mended; they count for no figure."""
    return list(_of_files(SHORTER))


def fresh_cases() -> list[PasteCase]:
    """Those judged before the reader was run on them, which it was then repaired by; they count for no figure."""
    return list(_of_files(FRESH))


def _of_files(names: tuple[str, ...]) -> Iterator[PasteCase]:
    for name in names:
        _, *parts = re.split(r"^#: ", (FOLDER / name).read_text(encoding="utf-8"), flags=re.MULTILINE)
        for part in parts:
            head, _, body = part.partition("\n")
            yield _case(head.split(), body)


def _case(head: list[str], body: str) -> PasteCase:
    case = PasteCase(head[0], preferred=next((_SYSTEMS[word] for word in head[1:] if word in _SYSTEMS), None))
    lines = []
    for line in body.splitlines():
        if match := _CODE.fullmatch(line):
            status = match["status"] if match["status"] != "-" else None
            case.codes.append(
                Judged(match["code"], status, int(match["count"]) if match["count"] else None, match["unit"])
            )
        elif line.startswith("#? "):
            case.mentioned.append(line[3:])
        elif line == "#0":
            case.says_none = True
        else:
            assert not line.startswith(("#>", "#?", "#:")), f"{case.name}: {line}"
            lines.append(line)
    case.text = "\n".join(lines)
    if "escaped" in head:
        case.text = case.text.encode("latin-1", "backslashreplace").decode("unicode_escape")
    return case


_PHRASES = {
    "active": "active|ACTIVE|currently active|aktiv|actif|activo|attivo|actief|ativo|aktivt|aktiivinen",
    "stored": "stored|previously active|no longer active|history|gespeichert|mémorisé|almacenado|memorizzato|opgeslagen"
    "|armazenado|gemt|lagret|lagrad|tallennettu|inactive|inaktiv|inactif|inactivo",
    "pending": "pending|Pending|pendiente|en attente|in attesa|pendente|väntande",
    "permanent": "permanent",
}
_LAYOUTS = (
    "{code} {status}",
    "{code}: {status}",
    "{code} - {status} - OC {count}",
    "{code}; {status}; x{count}",
    "1. {code} Sensor out of range, {status}",
    "DTC {code} ({status})",
    "{status}:\n{code}",
    "| {code} | {status} |\n| P0300 | {status} |",
)


def _variations() -> Iterator[tuple[int, PasteCase]]:
    """Each word for a status in two layouts, with codes and counts in turn."""
    numbers = count()
    codes = ("P0118", "SPN 100 FMI 1", "U0121-86", "SPN 629/12", "C1234", "B1342")
    spelled = {"SPN 100 FMI 1": "100-1", "SPN 629/12": "629-12"}
    for status, phrases in _PHRASES.items():
        for phrase in phrases.split("|"):
            for _ in range(2):
                number = next(numbers)
                layout, code = _LAYOUTS[number % len(_LAYOUTS)], codes[number % len(codes)]
                case = PasteCase(f"made-{number}", layout.format(code=code, status=phrase, count=number + 2))
                counted = number + 2 if "{count}" in layout else None
                case.codes.append(Judged(spelled.get(code, code), status, counted))
                if "P0300" in layout:
                    case.codes.append(Judged("P0300", status))
                yield number, case


@dataclass
class Verdict:
    """How one case was read."""

    wrong: list[str] = field(default_factory=list)
    offered_wrong: list[str] = field(default_factory=list)
    missed: list[str] = field(default_factory=list)
    unticked: list[str] = field(default_factory=list)
    unread: list[str] = field(default_factory=list)


def verdict(case: PasteCase, readout: Readout) -> Verdict:
    """What is wrong, missed, or right but not claimed in the reading of a case."""
    result = Verdict()
    judged = {(one.code, one.unit): one for one in case.codes}
    by_code = {code: [one for (key, _), one in judged.items() if key == code] for code, _ in judged}
    left = dict(judged)
    for seen in readout.codes:
        text = seen.code.text
        options = by_code.get(text, [])
        ticked = getattr(seen, "certain", True)
        if not options:
            if ticked:
                result.wrong.append(f"{text} ticked")
            elif text not in case.mentioned:
                result.offered_wrong.append(text)
            continue
        unit = getattr(seen, "unit", None)
        one = next((one for one in options if _same_unit(one.unit, unit)), None)
        one = one or (options[0] if unit is None and len(options) == 1 else None)
        if one is None or (one.unit and unit is None and ticked):
            result.wrong.append(f"{text} under {unit}")
            continue
        left.pop((one.code, one.unit), None)
        if not ticked:
            result.unticked.append(text)
        if seen.status is not None and str(seen.status) != one.status:
            result.wrong.append(f"{text} {seen.status}, not {one.status}")
        elif seen.status is None and one.status:
            result.unread.append(f"{text} {one.status}")
        if seen.count is not None and seen.count != one.count:
            result.wrong.append(f"{text} count {seen.count}, not {one.count}")
        elif seen.count is None and one.count is not None:
            result.unread.append(f"{text} count {one.count}")
    result.missed += [one.code for one in left.values()]
    if readout.no_codes_stated and not case.says_none:
        result.wrong.append("says that there are no codes")
    if case.says_none and not readout.no_codes_stated:
        result.unread.append("says none")
    return result


def _same_unit(expected: str | None, unit: str | None) -> bool:
    return (expected or "").casefold() == (unit or "").casefold()
