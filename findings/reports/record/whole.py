"""The record as a whole."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from findings.reports.record.aboard import CustomerFacts, EngineFacts, PersonFacts, ShopFacts, UnitFacts, VesselFacts
from findings.reports.record.codes import ClearFacts, FaultFacts, ScanFacts, WorkFacts
from findings.reports.record.happened import FunctionTestFacts, SettingFacts, VisualFacts
from findings.reports.record.job import (
    CoverageFacts,
    InspectionFacts,
    JobFacts,
    LineFacts,
    PartFacts,
    Recommendation,
    RevisionFacts,
)
from findings.reports.record.measured import ReadingFacts, ResultFacts

FORMAT = "condition-report/3"
KNOWN_FORMATS = frozenset({"condition-report/1", "condition-report/2", FORMAT})
"""Records are read in the form that they were signed in: what an older one did not say yet stays unsaid."""

WORDING = 3
"""The rules by which page one words its figures now. What was signed by older ones is still said by those."""


@dataclass(frozen=True, slots=True, kw_only=True)
class IssueFacts:
    """What signing adds: number, code, signer and where to check. Absent from a draft."""

    number: str
    code: str
    supersedes: str
    signed_at: datetime
    signer: PersonFacts
    verify_url: str
    reviewed_by_signer: bool | None = None
    log_number: int | None = None
    log_head: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Findings:
    """What was found, before anybody signs."""

    shop: ShopFacts
    customer: CustomerFacts
    vessel: VesselFacts
    job: JobFacts
    reviewer: PersonFacts | None
    reviewed_at: datetime | None
    summary: str
    remarks: str
    engines: tuple[EngineFacts, ...]
    units: tuple[UnitFacts, ...]
    scans: tuple[ScanFacts, ...]
    faults: tuple[FaultFacts, ...]
    readings: tuple[ReadingFacts, ...]
    lines: tuple[LineFacts, ...]
    work: tuple[WorkFacts, ...]
    recommendations: tuple[Recommendation, ...]
    not_inspected: tuple[str, ...]
    cautions: tuple[str, ...]
    coverage: tuple[CoverageFacts, ...] = ()
    inspection: InspectionFacts | None = None
    revision: RevisionFacts | None = None
    other_parts: tuple[PartFacts, ...] = ()
    clears: tuple[ClearFacts, ...] | None = None
    """Every clear of the units by the job's end. None in a record of an older form, which does not say."""
    results: tuple[ResultFacts, ...] = ()
    wording: int = 1
    """By which rules its figures are worded; a record signed before there was more than one does not say."""
    visual: tuple[VisualFacts, ...] = ()
    tests: tuple[FunctionTestFacts, ...] = ()
    settings: tuple[SettingFacts, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Record:
    """The whole record: the findings, and their issue once they are signed."""

    format: str
    issue: IssueFacts | None
    findings: Findings
