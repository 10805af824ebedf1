"""Codes that may be one and the same, told in two ways."""

from __future__ import annotations

from collections.abc import Collection, Iterable

from engineering.codes.code import Code, CodeSystem

NO_FAILURE_TYPE = "00"
"""SAE J2012-DA: no failure type is given; instruments that show two bytes leave it out."""


def lists_other_kinds_only(systems: Collection[CodeSystem], code: Code) -> bool:
    """Whether a list holds codes, and none of this one's kind, so that it shows nothing of it by not listing it.

    What reads or blinks codes of one kind may know no other; a list of none at all says that there is none. Status bits
    are told beside codes and are no kind of their own here. Common practice, no source.
    """
    kinds = {one for one in systems if one is not CodeSystem.STATUS}
    return code.system is not CodeSystem.STATUS and bool(kinds) and code.system not in kinds


def likeness(code: Code) -> str:
    """What codes have in common that may be the same; empty where a code is told in one way only.

    A P, C, B or U code with and without its failure type has its five characters, a flash code written with and without
    its pauses has its digits.
    """
    if code.system is CodeSystem.OBD:
        return f"{code.system}:{code.text.partition('-')[0]}"
    return f"{code.system}:{code.text.replace('-', '')}" if code.system is CodeSystem.FLASH else ""


def may_be_the_same(one: Code, other: Code) -> bool:
    """Whether two codes of one unit may be one and the same, one of them told with less.

    Two failure types are two codes, and so are two ways to set the pauses.
    """
    if one == other or not likeness(one) or likeness(one) != likeness(other):
        return False
    return any(_more(code) == "" for code in (one, other))


def _more(code: Code) -> str:
    """What a code tells besides what it has in common; empty where it tells no more."""
    if code.system is CodeSystem.FLASH:
        return code.text if "-" in code.text else ""
    return code.text.partition("-")[2].removeprefix(NO_FAILURE_TYPE)


def same_words(code: Code, others: Iterable[Code]) -> str:
    """That a code may be one of these others of its unit, in a sentence; empty where it is none of them."""
    alike = sorted({str(other) for other in others if may_be_the_same(code, other)})
    if not alike:
        return ""
    why = (
        "an instrument may leave the failure type out"
        if code.system is CodeSystem.OBD
        else "an instrument may leave the pauses out"
    )
    return f"May be the same as {' or '.join(alike)}: {why}."
