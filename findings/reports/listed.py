"""What scans listed of a unit on arrival and last, each scan with its day; and whether that is after work. Pure."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import datetime

from engineering.hours import hours_words
from findings.reports.coverage import is_after, is_on_arrival, last_work
from findings.reports.record import ClearFacts, Findings, ScanFacts, UnitFacts, WorkFacts

MOST_SCANS = 6


@dataclass(frozen=True)
class Turn:
    """The last thing that was done about the codes of a unit on the job: work on them, or a clear."""

    at: datetime
    words: str
    is_clear: bool = False

    def is_before(self, scan: ScanFacts) -> bool:
        """Whether a scan is after it."""
        return is_after(scan, self.at)


@dataclass(frozen=True)
class Told:
    """The scans of one unit that are told together, and how many more there are; else why there are none."""

    unit: str
    scans: Sequence[ScanFacts] = ()
    more: int = 0
    is_scanned: bool = True
    not_since: str = ""
    whens: list[str] = field(default_factory=list)


def turn_of(unit: str, work: Sequence[WorkFacts], clears: Sequence[ClearFacts], job: str) -> Turn | None:
    """When something was last done about the codes of a unit on the job; None where nothing of it is logged."""
    worked = last_work(unit, work)
    cleared = max((one.at for one in clears if one.unit == unit and one.job == job), default=None)
    if cleared is not None and (worked is None or cleared >= worked):
        return Turn(cleared, f"codes of it were cleared, {_day(cleared)}", is_clear=True)
    return Turn(worked, f"the last work about its codes, {_day(worked)}") if worked is not None else None


def turns_of(
    units: Sequence[UnitFacts], work: Sequence[WorkFacts], clears: Sequence[ClearFacts], job: str
) -> dict[str, Callable[[ScanFacts], bool]]:
    """Of each unit about whose codes something was done on the job, whether a scan came after that."""
    turns = {unit.name: turn_of(unit.name, work, clears, job) for unit in units}
    return {name: turn.is_before for name, turn in turns.items() if turn is not None}


def told_on_arrival(unit: str, findings: Findings) -> Told:
    """Every scan on arrival: the first ones and the last by name."""
    telling = _telling(unit, findings.scans)
    arrived = [scan for scan in telling if is_on_arrival(scan.phase)]
    more = len(arrived) - MOST_SCANS
    kept = [*arrived[: MOST_SCANS - 1], arrived[-1]] if more > 0 else arrived
    return _told(unit, kept, more=more, is_scanned=bool(arrived))


def told_last(unit: str, findings: Findings) -> Told:
    """How things stand by the last complete scan and the partial ones after it, if those came after what was done."""
    telling = _telling(unit, findings.scans)
    turn = turn_of(unit, findings.work, findings.clears or (), findings.job.number)
    since = telling if turn is None else [scan for scan in telling if turn.is_before(scan)]
    complete = [index for index, scan in enumerate(since) if scan.is_complete]
    last = since[complete[-1] :] if complete else since
    if not telling or not last:
        return Told(unit, is_scanned=bool(telling), not_since=turn.words if turn and telling else "")
    if turn is None and all(is_on_arrival(scan.phase) for scan in last):
        return Told(unit)
    more = len(last) - MOST_SCANS
    kept = [last[0], *last[1 + more :]] if more > 0 else last
    return _told(unit, kept, more=more)


def _telling(unit: str, scans: Sequence[ScanFacts]) -> list[ScanFacts]:
    return [scan for scan in scans if scan.unit == unit and scan.tells_codes]


def _told(unit: str, scans: Sequence[ScanFacts], *, more: int, is_scanned: bool = True) -> Told:
    days = Counter(_day(scan.at) for scan in scans)
    return Told(unit, scans, max(more, 0), is_scanned, whens=[_when(scan, days) for scan in scans])


def _when(scan: ScanFacts, days: Counter[str]) -> str:
    """The day of a scan, with the time where another one is of the same day, and the hours where they were read."""
    day = _day(scan.at)
    clock = f"{scan.at:%I:%M %p}".lstrip("0")
    hours = hours_words(scan.hours) if scan.hours is not None else ""
    return ", ".join(word for word in [day, clock if days[day] > 1 else "", hours] if word)


def _day(at: datetime) -> str:
    return f"{at:%b} {at.day}, {at.year}"
