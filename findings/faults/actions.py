"""What people do about faults: log a scan, clear codes, log work done."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from decimal import Decimal
from typing import TYPE_CHECKING, Any
from uuid import UUID

from commands.envelope import command
from commands.refusals import Refused
from engineering.codes import Code, CodeStatus
from findings.faults.incremental import update_faults
from findings.faults.models import Clear, ClearedFault, Fault, Scan, Sighting, WorkDone, WorkOnFault
from findings.instruments.models import Instrument
from findings.instruments.queries import as_at
from staff.policy import Permission
from vessels.hours import refuse_impossible_hours
from vessels.log.belonging import of_a_boat, refuse_amending
from vessels.log.chain import NewEntry, append
from vessels.models import ControlUnit, Engine, LogEntry, Vessel
from vessels.removing import refuse_if_removed_before

if TYPE_CHECKING:
    from staff.models import Person
    from workorders.models import Job, JobLine

MOST_CODES = 200
MOST_COUNTED = 65_535
PHASE_WORDS = {name: label.lower() for name, label in Scan.PHASES}

of_a_boat(
    Fault,
    vessel=lambda fault: fault.vessel_id,
    refused=lambda _: Refused("One of these codes is of another boat.", fields={"faults": "Codes of this boat only."}),
)


@dataclass(frozen=True)
class CodeSeen:
    """One code as a scan listed it."""

    code: Code
    status: CodeStatus
    count: int | None = None


def _listed_once(codes: Sequence[CodeSeen]) -> list[CodeSeen]:
    """The codes in the order given, each status of each once."""
    kept: dict[tuple[Code, CodeStatus], CodeSeen] = {}
    for one in codes:
        key = (one.code, one.status)
        before = kept.get(key)
        counts = [count for count in (one.count, before.count if before else None) if count is not None]
        kept[key] = replace(one, count=max(counts, default=None))
    return list(kept.values())


def to_log_findings(given: Mapping[str, Any]) -> Permission:
    """What it takes to log a finding, or to put another in its place."""
    return Permission.AMEND_FINDINGS if given.get("amends") else Permission.LOG_FINDINGS


@command(
    "log_scan",
    needs=to_log_findings,
    writes_to="unit.vessel",
    as_kept={"codes": _listed_once},
    not_queued=("file_sha256",),
)
def log_scan(
    *,
    by: Person,
    unit: ControlUnit,
    phase: str,
    is_complete: bool,
    codes: Sequence[CodeSeen],
    job: Job | None = None,
    engine_hours: Decimal | None = None,
    instrument: str = "",
    registered: Instrument | None = None,
    raw: str = "",
    source: str = "touch",
    not_understood: int = 0,
    file_sha256: str | None = None,
    text: str = "",
    entry_id: UUID | None = None,
    happened_at: datetime | None = None,
    amends: LogEntry | None = None,
) -> Scan:
    """Log one read-out of one control unit; ``engine_hours`` are the engine's true hours.

    ``file_sha256`` is the digest of the file that the scan was read from, where there is one. ``registered`` is the
    shop's instrument that it was read with, kept as it stood then; ``instrument`` is what was typed. A code listed
    twice with one status is one sighting, with the higher count.
    """
    vessel = unit.vessel
    seen = _listed_once(codes)
    _check_scan(seen, phase=phase, is_complete=is_complete)
    _refuse_amending(amends, vessel, "scan")
    if amends is None:
        refuse_if_removed_before(unit, happened_at)
    refuse_impossible_hours(unit.engine, engine_hours, happened_at, amends=amends)
    faults = _faults_of(unit, [one.code for one in seen])
    scan = Scan(
        unit=unit,
        phase=phase,
        is_complete=is_complete,
        source=source,
        instrument=instrument.strip(),
        **as_at(registered, happened_at),
        raw=raw,
        not_understood=not_understood,
        file_sha256=file_sha256,
    )
    entry = append(
        NewEntry(
            kind="scan",
            vessel=vessel,
            author=by,
            summary=_scan_summary(scan, seen),
            happened_at=happened_at,
            id=entry_id,
            engine=unit.engine,
            job_id=job.pk if job else None,
            engine_hours=engine_hours,
            text=text,
            amends=amends,
        ),
        detail=scan,
        children=[
            Sighting(
                scan=scan,
                fault=faults[one.code],
                system=one.code.system.value,
                code=one.code.text,
                status=one.status.value,
                count=one.count,
            )
            for one in seen
        ],
    )
    update_faults(unit.pk, entry)
    return scan


@command("clear_codes", needs=to_log_findings, writes_to="unit.vessel")
def clear_codes(
    *,
    by: Person,
    unit: ControlUnit,
    faults: Sequence[Fault] | None = None,
    job: Job | None = None,
    engine_hours: Decimal | None = None,
    text: str = "",
    entry_id: UUID | None = None,
    happened_at: datetime | None = None,
    amends: LogEntry | None = None,
) -> Clear:
    """Log that codes of a unit were cleared: those of ``faults``, or everything where it is None."""
    vessel = unit.vessel
    _refuse_amending(amends, vessel, "clear")
    if amends is None:
        refuse_if_removed_before(unit, happened_at)
    if faults is not None and not faults:
        raise Refused("No code is chosen.", fields={"faults": "Choose the codes that were cleared, or all of them."})
    if faults is not None and any(fault.unit_id != unit.pk for fault in faults):
        raise Refused(
            "One of these codes belongs to another unit.", fields={"faults": "Choose codes of one unit only."}
        )
    refuse_impossible_hours(unit.engine, engine_hours, happened_at, amends=amends)
    clear = Clear(unit=unit, everything=faults is None)
    named = _unique(faults or [])
    entry = append(
        NewEntry(
            kind="clear",
            vessel=vessel,
            author=by,
            summary=f"Cleared {_what(named) if faults is not None else 'all codes'} of {unit}.",
            happened_at=happened_at,
            id=entry_id,
            engine=unit.engine,
            job_id=job.pk if job else None,
            engine_hours=engine_hours,
            text=text,
            amends=amends,
        ),
        detail=clear,
        children=[ClearedFault(clear=clear, fault=one, system=one.system, code=one.code) for one in named],
    )
    update_faults(unit.pk, entry)
    return clear


@command("log_work", needs=to_log_findings, writes_to="vessel")
def log_work(
    *,
    by: Person,
    vessel: Vessel,
    faults: Sequence[Fault],
    text: str,
    job: Job | None = None,
    line: JobLine | None = None,
    engine: Engine | None = None,
    engine_hours: Decimal | None = None,
    entry_id: UUID | None = None,
    happened_at: datetime | None = None,
    amends: LogEntry | None = None,
) -> WorkDone:
    """Log what was done on a vessel: about its faults, or work that is about none, such as an oil change."""
    job = job or (line.job if line else None)
    _refuse_amending(amends, vessel, "work-done")
    _check_work(vessel, faults=faults, text=text, job=job, line=line)
    named = _unique(faults)
    work = WorkDone(line=line)
    if engine is None and len({fault.engine_id for fault in named}) == 1:
        engine = named[0].engine
    if engine is not None and any(fault.engine_id not in {None, engine.pk} for fault in named):
        raise Refused(
            "These faults are of another engine.",
            fields={"engine": "Choose the engine of these faults, or none if they belong to several."},
        )
    refuse_impossible_hours(engine, engine_hours, happened_at, amends=amends)
    entry = append(
        NewEntry(
            kind="work-done",
            vessel=vessel,
            author=by,
            summary=_work_summary(named, engine),
            happened_at=happened_at,
            id=entry_id,
            engine=engine,
            job_id=job.pk if job else None,
            engine_hours=engine_hours,
            text=text,
            amends=amends,
        ),
        detail=work,
        children=[WorkOnFault(work=work, fault=one, system=one.system, code=one.code) for one in named],
    )
    for unit_id in sorted({fault.unit_id for fault in named}):
        update_faults(unit_id, entry)
    return work


def _refuse_amending(amends: LogEntry | None, vessel: Vessel, kind: str) -> None:
    """Look first at what is amended: its hours are left out of what the new ones are compared with."""
    if amends is not None:
        refuse_amending(amends, vessel=vessel, kind=kind)


def _check_scan(seen: Sequence[CodeSeen], *, phase: str, is_complete: bool) -> None:
    if phase not in PHASE_WORDS:
        raise Refused("Say when the scan was taken.", fields={"phase": "Choose when in the job."})
    if not seen and not is_complete:
        raise Refused(
            "A scan of only some codes needs at least one code.",
            fields={"is_complete": "Add a code, or say that the unit listed none."},
        )
    if len(seen) > MOST_CODES:
        raise Refused(f"A scan cannot have more than {MOST_CODES} codes. Check what was pasted.")
    for one in seen:
        if one.count is not None and not 0 <= one.count <= MOST_COUNTED:
            raise Refused(
                f"The count of {one.code} is not possible.",
                fields={"count": f"From 0 to {MOST_COUNTED}, or leave it out."},
            )


def _check_work(vessel: Vessel, *, faults: Sequence[Fault], text: str, job: Job | None, line: JobLine | None) -> None:
    if any(fault.vessel_id != vessel.pk for fault in faults):
        raise Refused(
            "One of these faults belongs to another boat.", fields={"faults": "Choose faults of this boat only."}
        )
    if not text.strip():
        raise Refused("Say what was done.", fields={"text": "What was found, replaced, repaired or adjusted."})
    if line is not None and (job is None or line.job_id != job.pk):
        raise Refused("This line is of another job.", fields={"line": "Choose a line of this job."})


def _faults_of(unit: ControlUnit, codes: Sequence[Code]) -> dict[Code, Fault]:
    """The unit's fault for each code, made where the code is new to it. Needs the vessel's turn to write."""
    found = {fault.as_code: fault for fault in Fault.objects.filter(unit=unit, code__in=[code.text for code in codes])}
    missing = [
        Fault(vessel_id=unit.vessel_id, engine_id=unit.engine_id, unit=unit, system=code.system.value, code=code.text)
        for code in dict.fromkeys(codes)
        if code not in found
    ]
    Fault.objects.bulk_create(missing)
    return found | {fault.as_code: fault for fault in missing}


def _unique(faults: Sequence[Fault]) -> list[Fault]:
    return list({fault.pk: fault for fault in faults}.values())


def _what(faults: Sequence[Fault]) -> str:
    return ", ".join(fault.label for fault in faults)


def _work_summary(faults: Sequence[Fault], engine: Engine | None) -> str:
    if faults:
        return f"Work done about {_what(faults)}."
    return f"Work done on {engine}." if engine else "Work done."


def _scan_summary(scan: Scan, seen: Sequence[CodeSeen]) -> str:
    """The sentence that the log keeps: it names every code, so that it can be read without any other row."""
    listed = ", ".join(
        f"{one.code} {one.status.value}" + (f" ×{one.count}" if one.count is not None else "") for one in seen
    )
    extent = "complete" if scan.is_complete else "only some codes"
    return f"Scan of {scan.unit}, {PHASE_WORDS[scan.phase]}, {extent}: {listed or 'no codes'}."
