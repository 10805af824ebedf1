"""What is worth a second look in the list of a scan, and is no reason to refuse it. Common practice, no source."""

from __future__ import annotations

from collections.abc import Sequence

from engineering.codes import Code, CodeSystem
from findings.faults.listed import ListedCode
from vessels.models import ControlUnit

_GIVES = {
    CodeSystem.SPN: "SPN/FMI codes",
    CodeSystem.J1587: "codes with MID, PID or SID, and FMI",
    CodeSystem.OBD: "P, C, B and U codes",
    CodeSystem.FLASH: "flash codes",
    CodeSystem.MAKER: "the maker's own codes",
}


def of_another_kind(code: Code, unit: ControlUnit) -> str:
    """That a code is of another kind than the unit usually gives; empty where it is not.

    The kind is what was chosen when the unit was entered, and some units give two kinds: it is only a remark.
    """
    usual = CodeSystem(unit.code_system)
    if code.system is usual or code.system not in _GIVES:
        return ""
    return f"This unit is entered as giving {_GIVES[usual]}: check that the code is of this unit."


def of_row(listed: Sequence[ListedCode], index: int) -> list[str]:
    """What a row of the list says beside the others."""
    one = listed[index]
    said = []
    others = [str(other.status) for other in listed if other.code == one.code and other.status is not one.status]
    if others:
        said.append(f"Also in this list as {' and '.join(others)}: one code, logged with each of its statuses.")
    if one.is_active_at_zero:
        said.append("Active, with a count of 0: one of the two may be a slip.")
    return said
