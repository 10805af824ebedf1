"""The evidence of one control unit, as the log holds it: what still counts, in a fixed number of queries."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from uuid import UUID

from engineering.codes import Code, CodeStatus, CodeSystem, likeness, lists_other_kinds_only, may_be_the_same
from engineering.faults import Absent, Cleared, Evidence, Seen, Worked
from findings.faults.models import Clear, ClearedFault, Fault, Scan, Sighting, WorkOnFault
from vessels.log.evidence import superseded
from vessels.models import LogEntry
from workorders.models import ENDED, JobMove
from workorders.states import FINISHING

DONE = {*ENDED, *(state.value for state in FINISHING)}
"""States of a job that say its work is done: what comes back after them is a comeback, not something unfinished."""
IS_EFFECTIVE = ~superseded("entry_id")
"""On a detail's queryset: not replaced by its own kind, nor voided."""


@dataclass(frozen=True)
class UnitEvidence:
    """Everything the log says about the codes of one unit. Entries by their id as text.

    ``complete_scans`` tell which codes were gone. ``complete_logs`` tell which status bits were off: an instrument does
    not list those, so that only a log of the network can.
    """

    entries: dict[str, LogEntry]
    complete_scans: list[LogEntry]
    sightings: dict[int, list[tuple[LogEntry, CodeStatus]]]
    clears_of_all: list[LogEntry]
    clears: dict[int, list[LogEntry]]
    work: dict[int, list[LogEntry]]
    seen_in: dict[int, set[str]] = field(default_factory=dict)
    complete_logs: list[LogEntry] = field(default_factory=list)
    done: dict[int, list[datetime]] = field(default_factory=dict)
    """When each job was said to be done."""
    arrivals: set[str] = field(default_factory=set)
    """Scans taken on arrival: the boat had been away, even where its job was still open."""
    alike: dict[str, dict[Code, set[str]]] = field(default_factory=lambda: defaultdict(lambda: defaultdict(set)))
    """By what they have in common, the codes that may be told in two ways, each with the scans that list it."""
    kinds: dict[str, set[CodeSystem]] = field(default_factory=lambda: defaultdict(set))
    """What kinds of codes each scan lists, or can list."""

    def visit_of(self, entry: LogEntry) -> str | None:
        """The unfinished job that an entry is part of; a job that was done and is taken up again is another visit.

        When it was said to be done counts, and not when that arrived. At that very moment it is of the visit still.
        """
        if entry.job_id is None or str(entry.pk) in self.arrivals:
            return None
        before = sum(at < entry.happened_at for at in self.done.get(entry.job_id, []))
        return f"{entry.job_id}.{before}"

    def _listed_as_another(self, code: Code) -> set[str]:
        """The scans that list what may be the same code, told with more or less: none shows whether it is gone."""
        alike = self.alike.get(likeness(code), {})
        return set().union(*(scans for other, scans in alike.items() if may_be_the_same(code, other)))

    def of_fault(self, fault: Fault) -> Iterator[Evidence]:
        """The evidence of one fault, for the replay."""
        fault_id = fault.pk
        for entry, status in self.sightings.get(fault_id, []):
            yield Seen(str(entry.pk), entry.happened_at, entry.engine_hours, status, self.visit_of(entry))
        listed_in = self.seen_in.get(fault_id, set()) | self._listed_as_another(fault.as_code)
        for entry in self.complete_logs if fault.system == CodeSystem.STATUS else self.complete_scans:
            kinds = self.kinds.get(str(entry.pk), set())
            if str(entry.pk) not in listed_in and not lists_other_kinds_only(kinds, fault.as_code):
                yield Absent(str(entry.pk), entry.happened_at, entry.engine_hours, self.visit_of(entry))
        for entry in [*self.clears_of_all, *self.clears.get(fault_id, [])]:
            yield Cleared(str(entry.pk), entry.happened_at, entry.engine_hours, self.visit_of(entry))
        for entry in self.work.get(fault_id, []):
            yield Worked(str(entry.pk), entry.happened_at, entry.engine_hours, self.visit_of(entry))


def evidence_of_unit(unit_id: int, *, only: LogEntry | None = None) -> UnitEvidence:
    """Read a unit's evidence that is in force, or ``only`` what one entry says: six queries, however much there is."""
    found = UnitEvidence({}, [], defaultdict(list), [], defaultdict(list), defaultdict(list), defaultdict(set))
    by_entry, by_scan, by_clear, by_work = (
        {} if only is None else {name: only.pk} for name in ("pk", "scan_id", "clear_id", "work_id")
    )
    kind = None if only is None else only.kind
    if kind in {None, "scan"}:
        _add_scans(found, unit_id, by_entry, by_scan)
    if kind in {None, "clear"}:
        _add_clears(found, unit_id, by_entry, by_clear)
    if kind in {None, "work-done"}:
        _add_work(found, unit_id, by_work)
    jobs = {entry.job_id for entry in found.entries.values() if entry.job_id is not None}
    found.done.update(_done(sorted(jobs)))
    return found


def _add_scans(found: UnitEvidence, unit_id: int, by_entry: Mapping[str, UUID], by_scan: Mapping[str, UUID]) -> None:
    """What was seen, and what complete scans and logs tell by not listing it."""
    scans = Scan.objects.filter(IS_EFFECTIVE, unit_id=unit_id, **by_entry)
    for scan in scans.select_related("entry").defer("raw"):
        found.entries[str(scan.pk)] = scan.entry
        found.kinds[str(scan.pk)] = scan.kinds
        if scan.phase == "arrival":
            found.arrivals.add(str(scan.pk))
        if scan.is_complete and scan.tells_codes:
            found.complete_scans.append(scan.entry)
        if scan.is_complete and scan.tells_status:
            found.complete_logs.append(scan.entry)
    for fault_id, scan_id, system, text, status in Sighting.objects.filter(
        scan__unit_id=unit_id, **by_scan
    ).values_list("fault_id", "scan_id", "system", "code", "status"):
        if entry := found.entries.get(str(scan_id)):
            found.sightings[fault_id].append((entry, CodeStatus(status)))
            found.seen_in[fault_id].add(str(scan_id))
            code = Code(CodeSystem(system), text)
            found.kinds[str(scan_id)].add(code.system)
            if common := likeness(code):
                found.alike[common][code].add(str(scan_id))


def _add_clears(found: UnitEvidence, unit_id: int, by_entry: Mapping[str, UUID], by_clear: Mapping[str, UUID]) -> None:
    """What was cleared: all of the unit's codes, or those named."""
    cleared = Clear.objects.filter(IS_EFFECTIVE, unit_id=unit_id, **by_entry)
    clears = {clear.pk: clear for clear in cleared.select_related("entry")}
    for clear in clears.values():
        found.entries[str(clear.pk)] = clear.entry
        if clear.everything:
            found.clears_of_all.append(clear.entry)
    named = ClearedFault.objects.filter(clear__unit_id=unit_id, **by_clear)
    for fault_id, clear_id in named.values_list("fault_id", "clear_id"):
        if clear_id in clears and not clears[clear_id].everything:
            found.clears[fault_id].append(clears[clear_id].entry)


def _done(jobs: Sequence[int]) -> dict[int, list[datetime]]:
    """When each of the jobs was said to be done."""
    when: dict[int, list[datetime]] = defaultdict(list)
    moves = JobMove.objects.filter(entry__job_id__in=jobs, to_state__in=DONE)
    for job_id, at in moves.values_list("entry__job_id", "entry__happened_at"):
        when[job_id].append(at)
    return when


def units_found_after(move: LogEntry) -> set[int]:
    """The units of which a job holds evidence from after its move."""
    later = {"entry__job_id": move.job_id, "entry__happened_at__gt": move.happened_at}
    work = {f"work__{name}": value for name, value in later.items()}
    return {
        *Scan.objects.filter(**later).values_list("unit_id", flat=True),
        *Clear.objects.filter(**later).values_list("unit_id", flat=True),
        *WorkOnFault.objects.filter(**work).values_list("fault__unit_id", flat=True),
    }


def _add_work(found: UnitEvidence, unit_id: int, by_work: Mapping[str, UUID]) -> None:
    """Work about the unit's faults: no evidence of their state, but of what a repair was."""
    work = WorkOnFault.objects.filter(~superseded("work_id"), fault__unit_id=unit_id, **by_work)
    rows = work.select_related("work__entry")
    for row in rows:
        found.entries[str(row.work_id)] = row.work.entry
        found.work[row.fault_id].append(row.work.entry)
