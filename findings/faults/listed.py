"""The list of codes of a scan that is being put together. It travels in the form, never in the session."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

from commands.refusals import Refused
from engineering.codes import Code, CodeProblem, CodeStatus, CodeSystem, Explanation, explain, make_code
from findings.faults.actions import MOST_CODES, MOST_COUNTED, CodeSeen
from findings.faults.models import Scan


def code_key(code: Code) -> str:
    """A code in one word for buttons and addresses: "spn:110-0"."""
    return f"{code.system.value}:{code.text}"


def code_label(code: Code) -> str:
    """A code as people write it."""
    return f"Flash {code}" if code.system is CodeSystem.FLASH else str(code)


class OfCode:
    """What is about one ``code``: how the code is called, and what it means by itself."""

    code: Code

    @property
    def key(self) -> str:
        """The code in one word, for addresses."""
        return code_key(self.code)

    @property
    def label(self) -> str:
        """The code as people write it."""
        return code_label(self.code)

    @cached_property
    def meaning(self) -> Explanation:
        """What the code means by itself."""
        return explain(self.code)


@dataclass(frozen=True)
class ListedCode(OfCode):
    """One line of the list."""

    code: Code
    status: CodeStatus
    count: int | None = None

    @property
    def said(self) -> str:
        """The code with its status and count, in a sentence."""
        return f"{self.label} {self.status}{'' if self.count is None else f', count {self.count}'}"

    @property
    def is_active_at_zero(self) -> bool:
        """Whether it is said to be there now and never to have been: one of the two is a slip."""
        return self.status is CodeStatus.ACTIVE and self.count == 0

    @property
    def as_seen(self) -> CodeSeen:
        """For the action."""
        return CodeSeen(self.code, self.status, self.count)


def codes_of(scan: Scan) -> list[ListedCode]:
    """The codes that a scan listed."""
    return [ListedCode(row.as_code, CodeStatus(row.status), row.count) for row in scan.sightings.order_by("pk")]


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
    of = f" of {label}" if label else ""
    may_be = {"count": f"A whole number up to {MOST_COUNTED:,}, or nothing."}
    if not written.isascii() or not written.isdigit():
        raise Refused(f"The count{of} is not a whole number.", fields=may_be)
    count = int(written.lstrip("0")[:9] or "0")
    if count > MOST_COUNTED:
        raise Refused(f"The count{of} is too large.", fields=may_be)
    return count


def add_to_list(listed: Sequence[ListedCode], new: Sequence[ListedCode]) -> list[ListedCode]:
    """The list with codes added; one that is there with that status already gets the new count."""
    kept = {(one.code, one.status): one for one in listed}
    for one in new:
        before = kept.get((one.code, one.status))
        kept[one.code, one.status] = one if one.count is not None or before is None else before
    return list(kept.values())
