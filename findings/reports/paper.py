"""The record arranged for the eye: sections, pictures and sentences. Pure: no database, no clock."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from django.utils.safestring import SafeString

from files.paper.pictures import png_address
from files.paper.qr import qr_svg
from findings.drawing.flags import flag_piece, flag_words
from findings.drawing.lanes import fault_lanes
from findings.drawing.pictures import FlagState
from findings.drawing.svg import picture
from findings.reports.lanes import lanes_pictures
from findings.reports.page_one import EVERY_SCAN, Figure, Stand, figures_of, hin_words, open_before, stands
from findings.reports.reading_tables import EngineReadings, engine_readings
from findings.reports.record import (
    URGENCIES,
    EngineFacts,
    EpisodeFacts,
    FaultFacts,
    Findings,
    IssueFacts,
    Record,
    ScanFacts,
    UnitFacts,
)
from web.markup import NOTHING

LANES_WIDTH = 760.0
EPISODES_TOGETHER = 14
"""So many appearances of a code fit on any page; a longer history goes on under its code once more."""
STATES_FIRST = [
    FlagState.RETURNED,
    FlagState.NOT_FIXED_YET,
    FlagState.ACTIVE,
    FlagState.STORED,
    FlagState.CLEARED,
    FlagState.HISTORIC,
]


@dataclass(frozen=True)
class Lanes:
    """One picture of codes over time, and the words above it that say whose they are."""

    title: str
    drawing: SafeString


@dataclass(frozen=True)
class FaultRow:
    """One code with its flag and as much of its history as stands together on a page.

    ``by_another_job``: what was last done about it stands nowhere else in the report. ``part`` counts from 1.
    """

    fault: FaultFacts
    flag: SafeString
    by_another_job: bool
    episodes: tuple[EpisodeFacts, ...]
    part: int = 1
    is_last: bool = True
    of_job: str = ""
    """What the job has to do with it, in words; empty where it has nothing."""


@dataclass(frozen=True)
class UnitRows:
    """The codes of one unit that appeared once: a line each."""

    unit: str
    rows: list[FaultRow]


@dataclass(frozen=True)
class RecommendationGroup:
    """The recommendations of one urgency."""

    label: str
    slug: str
    texts: list[str]


@dataclass(frozen=True)
class Paper:
    """Everything that the templates of the paper draw."""

    record: Record
    logo: str
    qr: SafeString
    lanes: list[Lanes]
    faults: list[FaultRow]
    seen_once: list[UnitRows]
    reading_groups: list[EngineReadings]
    urged: list[RecommendationGroup]
    figures: list[Figure]
    standing: tuple[Stand, Stand]
    hin: str
    open_before: list[str]

    @property
    def findings(self) -> Findings:
        """What was found."""
        return self.record.findings

    @property
    def issue(self) -> IssueFacts | None:
        """Number, signer and place to check; None on a draft."""
        return self.record.issue

    @property
    def title(self) -> str:
        """What a reader's window shows."""
        number = (
            f"Condition report {self.issue.number}" if self.issue else f"Draft report, job {self.findings.job.number}"
        )
        return f"{number}: {self.vessel_name}"

    @property
    def vessel_name(self) -> str:
        """The boat in a few words."""
        vessel = self.findings.vessel
        return vessel.name or " ".join(word for word in [vessel.maker, vessel.model] if word) or "Vessel without a name"

    @property
    def engines(self) -> tuple[EngineFacts, ...]:
        """The engines in order of position."""
        return self.findings.engines

    @property
    def units(self) -> tuple[UnitFacts, ...]:
        """The control units."""
        return self.findings.units

    @property
    def scans(self) -> tuple[ScanFacts, ...]:
        """The read-outs of the job."""
        return self.findings.scans

    @property
    def has_other_scans(self) -> bool:
        """Whether a unit was scanned neither on arrival nor after what was done about its codes."""
        return any(row.other for row in self.findings.coverage)

    @property
    def tells_every_scan(self) -> bool:
        """Whether each scan is told with its day, and a clear counts as what was done about codes."""
        return self.findings.wording >= EVERY_SCAN

    @property
    def signed_at_iso(self) -> str:
        """The time of signing as metadata want it: to the second."""
        return self.issue.signed_at.replace(microsecond=0).isoformat() if self.issue else ""

    @property
    def address_shown(self) -> str:
        """The address to check at, as people type it."""
        return self.issue.verify_url.partition("://")[2].rstrip("/") if self.issue else ""


def paper_of(record: Record, *, logo_png: bytes | None = None) -> Paper:
    """Arrange a record for the paper."""
    findings = record.findings
    issue = record.issue
    rows = list(_fault_rows(findings))
    return Paper(
        record=record,
        logo=png_address(logo_png),
        qr=qr_svg(issue.verify_url, title=f"QR code of {issue.verify_url}") if issue else NOTHING,
        lanes=[Lanes(one.title, fault_lanes(one, width=LANES_WIDTH)) for one in lanes_pictures(findings)],
        faults=[row for row in rows if len(row.fault.episodes) > 1],
        seen_once=list(_by_unit(row for row in rows if len(row.fault.episodes) <= 1)),
        reading_groups=list(engine_readings(findings.readings, findings.shop.units)),
        urged=list(_urged(findings)),
        figures=figures_of(findings),
        standing=stands(findings),
        hin=hin_words(findings),
        open_before=open_before(findings),
    )


def _fault_rows(findings: Findings) -> Iterator[FaultRow]:
    ordered = sorted(findings.faults, key=lambda fault: STATES_FIRST.index(FlagState(fault.state)))
    for index, fault in enumerate(ordered):
        work = fault.last_work
        by_another_job = work is not None and work.job != findings.job.number
        parts = max(1, -(-len(fault.episodes) // EPISODES_TOGETHER))
        for part in range(1, parts + 1):
            drawn = _flag(f"report-flag-{index}-{part}", FlagState(fault.state), fault.status_now)
            episodes = fault.episodes[(part - 1) * EPISODES_TOGETHER : part * EPISODES_TOGETHER]
            yield FaultRow(fault, drawn, by_another_job, episodes, part, part == parts, _of_job(fault, findings))


def _of_job(fault: FaultFacts, findings: Findings) -> str:
    """Whether the job has to do with a code; and where it was back elsewhere, that this is so.

    What is open now may be of a scan that is not of this job: then the state is none of what the job saw.
    """
    if not fault.in_this_job:
        return ""
    last = fault.episodes[-1] if fault.episodes else None
    if findings.wording < EVERY_SCAN or last is None or not fault.is_open:
        return "on this job"
    scans = (scan for scan in findings.scans if scan.unit == fault.unit and scan.at >= last.opened_at)
    if any(seen.code == fault.code for scan in scans for seen in scan.seen):
        return "on this job"
    at = last.last_seen_at
    return f"on this job; last seen on {at:%b} {at.day}, {at.year}, by a scan that is not of this job"


def _by_unit(rows: Iterable[FaultRow]) -> Iterator[UnitRows]:
    units: dict[str, list[FaultRow]] = {}
    for row in rows:
        units.setdefault(row.fault.unit, []).append(row)
    for unit, members in sorted(units.items()):
        yield UnitRows(unit, members)


def _flag(key: str, state: FlagState, status: str) -> SafeString:
    """A flag with a title element, which is what becomes its alternative text in the PDF."""
    piece = flag_piece(state, status)
    return picture(f"State: {flag_words(state, status)}", key, (piece.width, piece.height), "flag", piece.markup)


def _urged(findings: Findings) -> Iterator[RecommendationGroup]:
    for urgency, label in URGENCIES.items():
        texts = [one.text for one in findings.recommendations if one.urgency == urgency]
        if texts:
            yield RecommendationGroup(label, urgency.replace(" ", "-"), texts)
