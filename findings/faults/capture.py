"""A scan that a technician is putting together by touch: what each button does to its list."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from commands.refusals import Refused
from engineering.codes import CodeStatus, CodeSystem
from findings.faults.listed import ListedCode, add_to_list, code_of_key, read_count
from findings.faults.models import Scan
from findings.faults.typed_codes import codes_typed
from vessels.models import ControlUnit, LogEntry


@dataclass
class Capture:
    """A scan being put together."""

    unit: ControlUnit
    listed: list[ListedCode]
    typed: dict[str, str] = field(default_factory=dict)
    wrong: Scan | None = None
    code_problem: str = ""
    focus: str = ""
    said: str = ""

    @property
    def corrected(self) -> LogEntry | None:
        """The entry that it is to stand in the place of."""
        return self.wrong.entry if self.wrong else None

    @property
    def read_out(self) -> dict[str, Any]:
        """The text, the file and what was not understood of them, where the codes are those of the corrected scan.

        Another list of codes altogether did not come from that read-out, nor did a kind of code that its log never
        told.
        """
        wrong = self.wrong
        if wrong is None or wrong.unit_id != self.unit.pk:
            return {}
        before, now = {one.as_code for one in wrong.sightings.all()}, {one.code for one in self.listed}
        if before and now and before.isdisjoint(now):
            return {}
        told = {True: wrong.tells_status or wrong.file_sha256 is None, False: wrong.tells_codes}
        if not all(told[code.system is CodeSystem.STATUS] for code in now):
            return {}
        names = ("raw", "source", "not_understood", "file_sha256")
        return {name: getattr(wrong, name) for name in names}


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
    capture.said = "; ".join(one.said for one in new) + " added."
    if any(one.code == other.code and one.status is not other.status for one in new for other in capture.listed):
        capture.said += " A code is now listed with more than one status."
    typed |= dict.fromkeys(["code", "count", "system", "status"], "")  # the next code says its own status
