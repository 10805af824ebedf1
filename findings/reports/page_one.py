"""What the first page says at a glance: codes and readings by name, on arrival and after. Pure."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any

from engineering.hours import hours_words
from engineering.plurals import plural
from findings.reports.amounts import amount, band_of, judged_extremes, why_unjudged
from findings.reports.coverage import (
    COMPLETE,
    NOT_SCANNED,
    PARTIAL,
    UnitCoverage,
    is_calculated,
    is_on_arrival,
    look_after,
    look_on_arrival,
    scanned_units,
    was_removed,
)
from findings.reports.listed import Told, told_last, told_on_arrival
from findings.reports.record import FaultFacts, Findings, ReadingFacts, SeenFacts, UnitFacts

MOST_CODES = 70
MOST_READINGS = 12
EVERY_SCAN = 3
"""The wording since which each scan is told with its day, and nothing as after work that was not."""
EVERY_ENGINE = 2
"""The wording since which an engine that nobody read, a partial scan and a reading without limits qualify a figure."""


@dataclass(frozen=True)
class Figure:
    """One number at the top of the report, or the words that stand where nothing was counted."""

    label: str
    value: str
    calls: bool


@dataclass(frozen=True)
class Stand:
    """How things stood at one end of the job: what was read, by name, and what was not looked at."""

    heading: str
    codes: list[str] = field(default_factory=list)
    without: list[str] = field(default_factory=list)
    partial: list[str] = field(default_factory=list)
    not_scanned: list[str] = field(default_factory=list)
    no_later: list[str] = field(default_factory=list)
    not_since: list[str] = field(default_factory=list)
    more: list[str] = field(default_factory=list)
    another: list[str] = field(default_factory=list)
    of_readings: str = ""
    """When the readings were taken, where that is not as of the codes."""
    out: list[str] = field(default_factory=list)
    measured: int = 0
    calculated: int = 0
    judged: int = 0
    left: list[str] = field(default_factory=list)
    """Of each value that its tool did not judge, why."""

    @property
    def readings_heading(self) -> str:
        """When the readings were taken, in the words of a heading."""
        return self.of_readings or self.heading

    @property
    def none_out(self) -> str:
        """What is said where no reading is out of its limits: of how many, and of what was calculated or not judged."""
        counted = [
            *([f"{self.measured} {plural(self.measured, 'reading')}"] if self.measured else []),
            *([f"{self.calculated} {plural(self.calculated, 'calculated value')}"] if self.calculated else []),
        ]
        said = [] if self.measured else ["nothing was measured"]
        if counted and not self.judged:
            said += self._of_none_judged(" and ".join(counted))
        elif counted:
            said += [] if self.out else [f"none of {self.judged} with limits"]
            said += [f"{self.calculated} of the values calculated"] if self.calculated else []
            said += [f"{len(self.left)} {self._not_judged}"] if self.left else []
        return "; ".join(said)

    def _of_none_judged(self, counted: str) -> list[str]:
        """A value without limits and one that was left unjudged are two things."""
        without = self.measured + self.calculated - len(self.left)
        if not self.left:
            return [f"{counted}, no limits known"]
        if not without:
            return [f"{counted}, {self._not_judged}"]
        return [counted, f"no limits known for {without}", f"{len(self.left)} {self._not_judged}"]

    @property
    def _not_judged(self) -> str:
        reasons = list(dict.fromkeys(self.left))
        return f"not judged: {reasons[0]}" if len(reasons) == 1 else "not judged, why stands under Readings"


def stands(findings: Findings) -> tuple[Stand, Stand]:
    """How codes and readings stood on arrival, and after."""
    units, scans = findings.units, findings.scans
    readings, system = findings.readings, findings.shop.units
    arrived = [one for one in readings if is_on_arrival(one.phase)]
    later = [one for one in readings if not is_on_arrival(one.phase)]
    if findings.wording >= EVERY_SCAN:
        first = Stand("On arrival", **_of_readings(arrived, system))
        last = Stand("Last", of_readings="All others", **_of_readings(later, system))
        _tell(first, [told_on_arrival(unit.name, findings) for unit in units])
        _tell(last, [told_last(unit.name, findings) for unit in units])
        last.another.extend(f"{one.name}: {_inside(one.another_unit)}" for one in units if one.another_unit)
        return first, last
    return (
        _stand("On arrival", [look_on_arrival(unit.name, scans) for unit in units], arrived, system),
        _stand("After", [look_after(unit.name, scans, findings.work) for unit in units], later, system),
    )


def _stand(heading: str, looks: Sequence[UnitCoverage], readings: Sequence[ReadingFacts], system: str) -> Stand:
    stand = Stand(heading, **_of_readings(readings, system))
    room = MOST_CODES
    for look in looks:
        if look.seen:
            stand.codes.append(f"{look.unit}: {_codes_by_status(look.seen, max(room, 1))}")
            room -= len(look.seen)
        elif look.extent == COMPLETE:
            stand.without.append(look.unit)
        if look.extent == PARTIAL:
            stand.partial.append(look.unit)
        elif look.extent == NOT_SCANNED:
            stand.not_scanned.append(look.unit)
    return stand


def _of_readings(readings: Sequence[ReadingFacts], system: str) -> dict[str, Any]:
    return {
        "measured": sum(not is_calculated(one) for one in readings),
        "calculated": sum(map(is_calculated, readings)),
        "judged": sum(1 for one in readings if one.verdict != "no limits known"),
        "left": [why for why in map(why_unjudged, readings) if why],
        "out": _cut(
            [_out(one, system) for one in readings if one.verdict == "out"], MOST_READINGS, "more under Readings"
        ),
    }


def _tell(stand: Stand, units: Sequence[Told]) -> None:
    """Each scan with its day: what it listed, and that it was a partial one."""
    room = MOST_CODES
    for told in units:
        if told.not_since:
            stand.not_since.append(f"{told.unit}: not scanned since {told.not_since}")
        elif not told.is_scanned:
            stand.not_scanned.append(told.unit)
        elif not told.scans:
            stand.no_later.append(told.unit)
        for scan, when in zip(told.scans, told.whens, strict=True):
            if scan.seen:
                stand.codes.append(f"{told.unit}, {when}: {_codes_by_status(scan.seen, max(room, 1))}")
                room -= len(scan.seen)
            elif scan.is_complete:
                stand.without.append(f"{told.unit}, {when}")
            if not scan.is_complete:
                stand.partial.append(f"{told.unit}, {when}")
        if told.more:
            stand.more.append(f"{told.unit}: {told.more} more {plural(told.more, 'scan')} under “Scans of this job”")


def _inside(sentence: str) -> str:
    """A sentence that goes on after a colon."""
    return sentence[:1].lower() + sentence[1:]


def _codes_by_status(seen: Sequence[SeenFacts], most: int) -> str:
    """The codes of a unit with their statuses: "SPN 110 FMI 0, SPN 94 FMI 18 active; SPN 100 FMI 1 stored"."""
    by_status: dict[str, list[str]] = {}
    for one in seen[:most]:
        by_status.setdefault(one.status, []).append(one.code)
    words = [f"{', '.join(codes)} {status}" for status, codes in by_status.items()]
    left = len(seen) - most
    return "; ".join([*words, f"{left} more under Fault codes"] if left > 0 else words)


def _cut(words: list[str], most: int, more: str) -> list[str]:
    """No more than so many; the rest is counted and its place named."""
    left = len(words) - most
    return words if left <= 0 else [*words[:most], f"{left} {more}"]


def _out(reading: ReadingFacts, system: str) -> str:
    """A reading that is out: "Oil pressure, port: 30 psi, limits 40 to 65 psi"; where no limits say so, what does."""
    where = f", {reading.engine.lower()}" if reading.engine else ""
    band = band_of(reading)
    how = " calculated" if is_calculated(reading) else ""
    limits = f", limits {band}" if band else f": {reading.working.outcome}" if reading.working else ""
    by = judged_extremes(reading, system)
    value = amount(reading.value, reading.unit, system, of=reading.parameter)
    return f"{reading.parameter}{where}:{how} {value}{f', {by}' if by else ''}{limits}"


def open_before(findings: Findings) -> list[str]:
    """By unit, codes that earlier scans left open and that no scan of this job listed, with when they were seen."""
    listed = {(scan.unit, seen.code) for scan in findings.scans for seen in scan.seen}
    units: dict[str, list[str]] = {}
    for one in findings.faults:
        if one.is_open and (one.unit, one.code) not in listed:
            units.setdefault(one.unit, []).append(f"{one.code} (last seen {_last_seen(one)})")
    return [f"{unit}: {', '.join(_cut(codes, 20, 'more under Fault codes'))}" for unit, codes in units.items()]


def _last_seen(fault: FaultFacts) -> str:
    last = fault.episodes[-1]
    if last.last_seen_hours is not None:
        return f"at {hours_words(last.last_seen_hours)}"
    return f"on {last.last_seen_at:%b} {last.last_seen_at.day}, {last.last_seen_at.year}"


def unlooked_units(findings: Findings) -> list[UnitFacts]:
    """The units whose codes nobody read on the job."""
    scanned = scanned_units(findings)
    return [unit for unit in findings.units if unit.name not in scanned]


def figures_of(findings: Findings) -> list[Figure]:
    """The numbers at the top of the report; words where nothing was looked at, so that no zero says too much."""
    return [*_codes(findings), _readings(findings), _urgent(findings)]


def _codes(findings: Findings) -> Iterator[Figure]:
    scanned = scanned_units(findings)
    every_open = [one for one in findings.faults if one.is_open and one.unit in scanned]
    still_open = [one for one in every_open if not was_removed(one.unit)]
    removed = len(every_open) - len(still_open)
    returned = [one for one in still_open if one.state == "returned" and not one.episodes[-1].not_fixed_yet]
    yield Figure(
        f"{'code' if len(still_open) == 1 else 'codes'} open{_how_far(findings, scanned)}"
        + (f", {removed} in a removed unit" if removed else ""),
        str(len(still_open)) if scanned else "not scanned",
        bool(still_open),
    )
    yield Figure("returned, of those open", str(len(returned)) if scanned else "–", bool(returned))


def _how_far(findings: Findings, scanned: set[str]) -> str:
    """How far the codes were looked for: nothing is said only where every unit of every engine was read in full."""
    everything = bool(scanned) and not unlooked_units(findings)
    if findings.wording < EVERY_ENGINE:
        return "" if everything else " where scanned"
    read = {unit.engine for unit in findings.units if unit.name in scanned}
    aboard = {engine.position for engine in findings.engines if engine.removed_on is None}
    complete = {scan.unit for scan in findings.scans if scan.tells_codes and scan.is_complete}
    if not (everything and aboard <= read):
        return " where scanned" if scanned <= complete else " where scanned, as far as read"
    return "" if scanned <= complete else ", as far as read"


def _readings(findings: Findings) -> Figure:
    readings = findings.readings
    out = sum(1 for one in readings if one.verdict == "out")
    judged = any(one.verdict != "no limits known" for one in readings)
    left = sum(1 for one in readings if why_unjudged(one))
    value = str(out) if judged else _none_judged(left, len(readings))
    what = "reading" if value == "1" else "readings"
    if any(map(is_calculated, readings)):
        what = "measured or calculated value" if value == "1" else "measured or calculated values"
    said = f", {left} not judged" if left and judged else ""
    without = sum(1 for one in readings if one.verdict == "no limits known") - left
    if findings.wording >= EVERY_ENGINE and judged and without > 0:
        said += f", {without} without limits"
    return Figure(f"{what} out of limits{said}", value, bool(out))


def _none_judged(left: int, taken: int) -> str:
    """What stands for the number of readings that are out where none of them was judged."""
    if not taken:
        return "none taken"
    return "not judged" if left == taken else "none judged" if left else "no limits known"


def _urgent(findings: Findings) -> Figure:
    urgent = sum(1 for one in findings.recommendations if one.urgency == "before next use")
    none = "none noted" if findings.wording >= EVERY_ENGINE else "0"
    return Figure("to do before next use", str(urgent) if urgent else none, bool(urgent))


def hin_words(findings: Findings) -> str:
    """The HIN with how it is known: one that is not known, one that nobody read and none at all are three things."""
    hin, remark = findings.vessel.hin, findings.vessel.hin_remark
    found = findings.inspection.hin_found if findings.inspection else ""
    words = _HIN_THERE if hin else _HIN_MISSING
    said = words.get(found, words[""])
    known = ", ".join(word for word in [hin, said] if word)
    if not remark:
        return known
    return f"{known}. {remark}" if remark[0].isupper() else f"{known}, {remark}"


_HIN_THERE = {
    "": "from the records; whether it was read on the hull is not given",
    "matches": "read on the hull",
    "differs": "from the records; the hull shows a different one, see the remarks",
    "not-read": "from the records, not read on this job",
    "unreadable": "from the records, not legible on the hull",
    "none": "from the records; the hull carries none",
}
_HIN_MISSING = {
    "": "not known",
    "matches": "not known",
    "differs": "not on record; the hull shows one, see the remarks",
    "not-read": "not known: not read on this job",
    "unreadable": "not known: not legible on the hull",
    "none": "none: the hull carries none",
}
