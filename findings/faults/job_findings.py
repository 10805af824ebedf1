"""What was found and done about faults on one job: scans before and after, clears, work, and what came back."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from engineering.codes import CodeStatus, Explanation, explain
from findings.faults.comparing import Change, Compared, Comparison, Listed, compare_scans, seen_only_between
from findings.faults.evidence import IS_EFFECTIVE
from findings.faults.models import Clear, Fault, Scan, WorkDone
from findings.faults.queries import AS_SEEN, FaultSeen
from vessels.identity import SerialRead, another_unit_words
from vessels.log.afterwards import afterwards
from vessels.log.originals import first_authors, witness_words
from vessels.models import ControlUnit
from vessels.queries.serials import serials_of
from workorders.models import Job

CAME_BACK, NOT_FIXED_YET, CANNOT_BE_COMPARED = "came back", "not fixed yet", "cannot be compared"
_TOLD_IN_ORDER = [
    Change.GONE.value, CAME_BACK, NOT_FIXED_YET, Change.STILL_THERE.value, Change.NEW.value, CANNOT_BE_COMPARED,
]  # fmt: skip
_COUNTED = {CANNOT_BE_COMPARED: "that cannot be compared"}


@dataclass(frozen=True)
class RowSeen:
    """One code in every scan of the job, with the fault it belongs to."""

    compared: Compared
    fault: FaultSeen
    meaning: Explanation
    cells: Sequence[tuple[Scan, str]]
    """Each scan with what it says of the code."""
    came_back: bool
    """Whether it was away in between, by the fault's own history: then it is neither new nor still there."""
    is_not_fixed_yet: bool = False
    """Whether it was back in between on the very job that had ended it."""

    @property
    def change(self) -> str:
        """What became of it, in a word; the heading counts the same words."""
        if self.came_back:
            return NOT_FIXED_YET if self.is_not_fixed_yet else CAME_BACK
        return str(self.compared.change) if self.compared.change.can_be_said else CANNOT_BE_COMPARED


@dataclass(frozen=True)
class UnitBeforeAfter:
    """The scans of one unit on one job, each beside the others; compared are the first and the last."""

    unit: ControlUnit
    scans: Sequence[Scan]
    before: Scan
    after: Scan | None
    comparison: Comparison
    rows: Sequence[RowSeen]
    another: str
    """That the scans may be of two units, as the serial number became another one."""

    @property
    def sentence(self) -> str:
        """The table below it in one sentence, as of the last scan."""
        if not self.rows:
            return "no codes before, no codes after."
        counts = Counter(row.change for row in self.rows)
        parts = [f"{counts[word]} {_COUNTED.get(word, word)}" for word in _TOLD_IN_ORDER if counts[word]]
        return f"{', '.join(parts)}."

    @property
    def began_on_arrival(self) -> bool:
        """Whether the first scan was taken on arrival."""
        return self.before.phase == "arrival"


@dataclass(frozen=True)
class JobFindings:
    """Everything on the job's Findings tab about faults."""

    units: Sequence[UnitBeforeAfter]
    done: Sequence[Any]
    back: Sequence[FaultSeen]
    """Faults that are there again after they had ended: returned, or not fixed yet."""
    left_open: Sequence[FaultSeen]

    @property
    def is_empty(self) -> bool:
        """Whether nothing was logged yet."""
        return not self.done


def findings_of_job(job: Job) -> JobFindings:
    """What was found on a job, in a fixed number of queries."""
    later = afterwards("entry_id")
    scans = list(
        Scan.objects.filter(entry__job=job)
        .annotate(is_effective=IS_EFFECTIVE, later=later)
        .select_related("entry__author", "unit__engine")
        .prefetch_related("sightings")
        .order_by("entry__happened_at", "entry__position")
        .defer("raw")
    )
    clears = Clear.objects.filter(entry__job=job).annotate(is_effective=IS_EFFECTIVE, later=later)
    work = WorkDone.objects.filter(entry__job=job).annotate(is_effective=IS_EFFECTIVE, later=later)
    done: list[Any] = [
        *scans,
        *clears.select_related("entry__author", "unit__engine").prefetch_related("cleared"),
        *work.select_related("entry__author", "line").prefetch_related("about"),
    ]
    _name_witnesses(done)
    faults = _faults_seen(done)
    counted = _fault_keys([one for one in done if one.is_effective])
    by_unit: dict[int, list[Scan]] = defaultdict(list)
    for scan in scans:
        if scan.is_effective:
            by_unit[scan.unit_id].append(scan)
    serials = serials_of(by_unit)
    return JobFindings(
        units=[_before_after(members, faults, serials[unit]) for unit, members in by_unit.items()],
        done=sorted(done, key=lambda one: (one.entry.happened_at, one.entry.position), reverse=True),
        back=[faults[key] for key in faults if key in counted and faults[key].is_back],
        left_open=[faults[key] for key in faults if key in counted and faults[key].fault.is_open],
    )


def _name_witnesses(done: Sequence[Any]) -> None:
    """Say of each who found it and who corrected it."""
    first = first_authors(one.entry.pk for one in done if one.entry.amends_id is not None)
    for one in done:
        author = one.entry.author.name
        one.witness = witness_words(first[one.entry.pk], author) if one.entry.pk in first else author


def _faults_seen(done: Sequence[Any]) -> dict[int, FaultSeen]:
    found = Fault.objects.filter(pk__in=_fault_keys(done)).select_related("unit__engine", "engine__family", "vessel")
    return {fault.pk: FaultSeen(fault) for fault in found.prefetch_related(*AS_SEEN)}


def _fault_keys(done: Sequence[Any]) -> set[int]:
    """The faults that these scans, clears and work name."""
    ids = {row.fault_id for one in done if isinstance(one, Scan) for row in one.sightings.all()}
    ids |= {row.fault_id for one in done if isinstance(one, Clear) for row in one.cleared.all()}
    ids |= {row.fault_id for one in done if isinstance(one, WorkDone) for row in one.about.all()}
    return ids


def _before_after(
    scans: Sequence[Scan], faults: dict[int, FaultSeen], serials: Sequence[SerialRead]
) -> UnitBeforeAfter:
    """The arrival scan beside the last one; without an arrival scan, the first of the job."""
    before = next((scan for scan in scans if scan.phase == "arrival"), scans[0])
    after = scans[-1] if scans[-1] is not before else None
    comparison = compare_scans(listed_in(before), listed_in(after or before))
    by_code = {faults[row.fault_id].fault.as_code: faults[row.fault_id] for one in scans for row in one.sightings.all()}
    listed = [(scan, listed_in(scan)) for scan in scans]
    between = [
        seen_only_between(code, listed[-1][1]) for code in by_code if code not in {r.code for r in comparison.rows}
    ]
    rows = [
        _row_seen(_proven(row, listed), by_code[row.code], listed, before, after or before)
        for row in [*comparison.rows, *between]
    ]
    another = another_unit_words(serials, since=before.entry.happened_at)
    return UnitBeforeAfter(before.unit, scans, before, after, comparison, rows, another)


def _proven(compared: Compared, listed: Sequence[tuple[Scan, Listed]]) -> Compared:
    """The same, and gone where a scan after the last that listed it shows that, though the last of all does not."""
    if compared.change not in {Change.NOT_LISTED_AFTER, Change.ANOTHER_KIND}:
        return compared
    code = compared.code
    last = max((index for index, (_, said) in enumerate(listed) if code in said.codes), default=len(listed))
    later = (seen_only_between(code, said).change for _, said in listed[last + 1 :])
    return replace(compared, change=Change.GONE) if Change.GONE in later else compared


def _row_seen(
    compared: Compared, fault: FaultSeen, listed: Sequence[tuple[Scan, Listed]], before: Scan, after: Scan
) -> RowSeen:
    cells = [(scan, said.words(compared.code)) for scan, said in listed]
    since, until = before.entry.happened_at, after.entry.happened_at
    returns = [one for one in fault.history.episodes[1:] if since < one.opened_at <= until]
    came_back = compared.change in {Change.NEW, Change.STILL_THERE} and bool(returns)
    return RowSeen(compared, fault, explain(compared.code), cells, came_back, came_back and returns[-1].not_fixed_yet)


def listed_in(scan: Scan) -> Listed:
    """What a scan listed, for comparing. Needs its sightings prefetched to stay at no query."""
    codes: dict[Any, frozenset[CodeStatus]] = {}
    for row in scan.sightings.all():
        codes[row.as_code] = codes.get(row.as_code, frozenset()) | {CodeStatus(row.status)}
    return Listed(scan.is_complete, codes, scan.tells_codes, scan.tells_status, scan.kinds)
