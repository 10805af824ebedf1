"""Two scans of one unit beside each other: what is gone, still there, new, and what cannot be said. Pure."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from enum import StrEnum

from engineering.codes import Code, CodeStatus, CodeSystem, lists_other_kinds_only, may_be_the_same


class Change(StrEnum):
    """What became of a code from one scan to the next."""

    GONE = "gone"
    STILL_THERE = "still there"
    NEW = "new"
    TOLD_ANOTHER_WAY = "may be the same as a code that the other scan lists"
    ANOTHER_KIND = "of a kind of which the other scan lists none"
    NOT_LISTED_AFTER = "not listed, but only some codes were recorded"
    NOT_LISTED_BEFORE = "not known before, as only some codes were recorded"

    @property
    def can_be_said(self) -> bool:
        """Whether both scans together say what became of the code."""
        return self in (Change.GONE, Change.STILL_THERE, Change.NEW)


_ORDER = list(Change)
_STRENGTH = [CodeStatus.ACTIVE, CodeStatus.PENDING, CodeStatus.STORED, CodeStatus.PERMANENT]


@dataclass(frozen=True)
class Listed:
    """The codes of one scan with their statuses, and whether they are everything that the unit listed.

    An instrument tells of codes, a log of the network also, or only, of the status bits that a unit sends by itself.
    """

    is_complete: bool
    codes: Mapping[Code, frozenset[CodeStatus]] = field(default_factory=dict)
    tells_codes: bool = True
    tells_status: bool = False
    kinds: Collection[CodeSystem] = ()
    """What kinds of codes it can tell of; empty where it is not known."""

    def words(self, code: Code) -> str:
        """What it says of a code: its statuses, "active, permanent", or "not listed"."""
        return _words(_sorted(self.codes.get(code, ())))

    def lists_another(self, code: Code) -> bool:
        """Whether it lists what may be the same code, told with more or less."""
        return any(may_be_the_same(code, other) for other in self.codes)

    def lists_other_kinds_only(self, code: Code) -> bool:
        """Whether it lists codes, and none of this one's kind."""
        return lists_other_kinds_only({*self.kinds, *(one.system for one in self.codes)}, code)

    def would_list(self, code: Code) -> bool:
        """Whether the code would be in it, had the unit told of it."""
        return self.is_complete and (self.tells_status if code.system is CodeSystem.STATUS else self.tells_codes)


@dataclass(frozen=True)
class Compared:
    """One code in both scans; no statuses where it was not listed."""

    code: Code
    before: tuple[CodeStatus, ...]
    after: tuple[CodeStatus, ...]
    change: Change


@dataclass(frozen=True)
class Comparison:
    """All codes of two scans, what is gone first."""

    rows: Sequence[Compared]
    before_is_complete: bool
    after_is_complete: bool

    @property
    def caveats(self) -> list[str]:
        """What a partial scan keeps us from saying."""
        said = []
        if not self.before_is_complete:
            said.append("The earlier scan recorded only some codes: a code that is only in the later one may be old.")
        if not self.after_is_complete:
            said.append(
                "The later scan recorded only some codes: a code that it does not list is not proven gone by it."
            )
        return said


def compare_scans(before: Listed, after: Listed) -> Comparison:
    """Put two scans of one unit beside each other."""
    rows = [
        Compared(
            code, _sorted(before.codes.get(code, ())), _sorted(after.codes.get(code, ())), _change(code, before, after)
        )
        for code in {**before.codes, **after.codes}
    ]
    rows.sort(key=lambda row: (_ORDER.index(row.change), row.code.system.value, row.code.text))
    return Comparison(rows, before.is_complete, after.is_complete)


def seen_only_between(code: Code, after: Listed) -> Compared:
    """A code that only scans between the first and the last listed."""
    return Compared(code, (), (), _gone(code, after))


def _gone(code: Code, after: Listed) -> Change:
    if after.lists_another(code):
        return Change.TOLD_ANOTHER_WAY
    if after.lists_other_kinds_only(code):
        return Change.ANOTHER_KIND
    return Change.GONE if after.would_list(code) else Change.NOT_LISTED_AFTER


def _change(code: Code, before: Listed, after: Listed) -> Change:
    if code in before.codes and code in after.codes:
        return Change.STILL_THERE
    if code in before.codes:
        return _gone(code, after)
    if before.lists_another(code):
        return Change.TOLD_ANOTHER_WAY
    if before.lists_other_kinds_only(code):
        return Change.ANOTHER_KIND
    return Change.NEW if before.would_list(code) else Change.NOT_LISTED_BEFORE


def _sorted(statuses: Iterable[CodeStatus]) -> tuple[CodeStatus, ...]:
    return tuple(sorted(statuses, key=_STRENGTH.index))


def _words(statuses: Sequence[CodeStatus]) -> str:
    return ", ".join(statuses) or "not listed"
