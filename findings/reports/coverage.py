"""What a job looked at and what not, worked out from the record's own facts. Pure."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from findings.reports.record import (
    CoverageFacts,
    EngineFacts,
    Findings,
    ReadingFacts,
    ScanFacts,
    SeenFacts,
    UnitFacts,
    WorkFacts,
)

COMPLETE, PARTIAL, NOT_SCANNED = "complete", "partial", "not scanned"
ON_ARRIVAL = "On arrival"


@dataclass(frozen=True)
class UnitCoverage:
    """What the scans of one unit at one end of the job came to."""

    unit: str
    extent: str
    seen: tuple[SeenFacts, ...]


def is_on_arrival(phase: str) -> bool:
    """Whether a scan or reading was taken on arrival."""
    return phase == ON_ARRIVAL


def is_calculated(reading: ReadingFacts) -> bool:
    """Whether a value was worked out from figures alone, and not read off an instrument or out of what those showed."""
    return reading.working is not None and not reading.working.is_measured


def look_on_arrival(unit: str, scans: Sequence[ScanFacts]) -> UnitCoverage:
    """What the scans on arrival said of a unit."""
    return _look(unit, [scan for scan in scans if scan.unit == unit and is_on_arrival(scan.phase)])


def look_after(unit: str, scans: Sequence[ScanFacts], work: Sequence[WorkFacts]) -> UnitCoverage:
    """What the scans said of a unit after the last work about its codes, those on arrival left out."""
    since = last_work(unit, work)
    return _look(
        unit,
        [
            scan
            for scan in scans
            if scan.unit == unit and not is_on_arrival(scan.phase) and (since is None or scan.at >= since)
        ],
    )


def is_after(scan: ScanFacts, at: datetime) -> bool:
    """Whether a scan is after work or a clear; one of the same minute that lists codes is replayed before it."""
    return scan.at > at or (scan.at == at and not scan.seen)


def last_work(unit: str, work: Sequence[WorkFacts]) -> datetime | None:
    """When something was last done about codes of a unit."""
    return max((one.at for one in work if unit in one.units), default=None)


def _look(unit: str, scans: Sequence[ScanFacts]) -> UnitCoverage:
    """The last complete scan with the partial ones after it; else whatever partial ones there are."""
    telling = [scan for scan in scans if scan.tells_codes]
    complete = [index for index, scan in enumerate(telling) if scan.is_complete]
    taken = telling[complete[-1] :] if complete else telling
    seen = {(one.code, one.status): one for scan in taken for one in scan.seen}
    extent = COMPLETE if complete else PARTIAL if telling else NOT_SCANNED
    return UnitCoverage(unit, extent, tuple(seen.values()))


def coverage_of(
    engines: Sequence[EngineFacts],
    units: Sequence[UnitFacts],
    scans: Sequence[ScanFacts],
    readings: Sequence[ReadingFacts],
    turns: Mapping[str, Callable[[ScanFacts], bool]],
) -> Iterator[CoverageFacts]:
    """Each engine with its units, then the vessel with its own: what was scanned and measured on the job.

    ``turns`` has, of each unit about whose codes something was done, whether a scan came after that.
    """
    for name in [*(engine.position for engine in engines), ""]:
        values = [reading for reading in readings if reading.engine == name]
        calculated = sum(is_calculated(reading) for reading in values)
        own = [unit.name for unit in units if unit.engine == name]
        if name or values:
            yield CoverageFacts(
                engine=name, unit="", arrival="", after="", readings=len(values) - calculated, calculated=calculated
            )
        for unit in own:
            yield _of_unit(name, unit, [scan for scan in scans if scan.unit == unit], turns.get(unit))


def _of_unit(
    engine: str, unit: str, scans: Sequence[ScanFacts], is_after: Callable[[ScanFacts], bool] | None
) -> CoverageFacts:
    after = [scan for scan in scans if is_after and is_after(scan)]
    other = _look(unit, [scan for scan in scans if scan not in after and not is_on_arrival(scan.phase)]).extent
    return CoverageFacts(
        engine=engine,
        unit=unit,
        arrival=look_on_arrival(unit, scans).extent,
        after=_look(unit, after).extent if is_after else "",
        readings=0,
        other="" if other == NOT_SCANNED else other,
    )


_REMOVED = re.compile(r", removed\)?(?: [0-9]+)?$")


def was_removed(unit: str) -> bool:
    """Whether a unit was removed by the end of the job, as its name on the paper says."""
    return _REMOVED.search(unit) is not None


def scanned_units(findings: Findings) -> set[str]:
    """The units whose codes were read on the job, completely or in part."""
    return {scan.unit for scan in findings.scans if scan.tells_codes}
