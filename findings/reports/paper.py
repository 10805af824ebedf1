"""The record arranged for the eye: sections, pictures and sentences. Pure: no database, no clock."""

from __future__ import annotations

import base64
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import count, groupby

from django.utils.safestring import SafeString

from engineering.measures import show
from findings.drawing.flags import flag_piece, flag_words
from findings.drawing.lanes import fault_lanes
from findings.drawing.pictures import FlagState, RangeStrip, Verdict
from findings.drawing.strip import range_strip
from findings.drawing.svg import picture
from findings.readings.queries import limits_words
from findings.reports.lanes import lanes_pictures
from findings.reports.page_one import Figure, Stand, figures_of, open_before, stands
from findings.reports.qr import qr_svg
from findings.reports.record import (
    URGENCIES,
    EngineFacts,
    FaultFacts,
    Findings,
    IssueFacts,
    ReadingFacts,
    Record,
    ScanFacts,
    UnitFacts,
)
from staff.markup import NOTHING

LANES_WIDTH = 760.0
STATES_FIRST = [FlagState.RETURNED, FlagState.ACTIVE, FlagState.STORED, FlagState.CLEARED, FlagState.HISTORIC]


@dataclass(frozen=True)
class FaultRow:
    """One code with its flag."""

    fault: FaultFacts
    flag: SafeString

    @property
    def shows_episodes(self) -> bool:
        """Whether its episodes say more than its sentence does."""
        return len(self.fault.episodes) > 1


@dataclass(frozen=True)
class ReadingRow:
    """One reading with its strip; without limits there is nothing to draw."""

    reading: ReadingFacts
    shown: str
    band: str
    strip: SafeString | None
    verdict: Verdict

    @property
    def limits(self) -> str:
        """The limits and where they are from."""
        return limits_words(self.band, self.reading.limits_from)

    @property
    def is_out(self) -> bool:
        """Whether it lies outside its limits."""
        return self.verdict is Verdict.OUT

    @property
    def is_worth_saying(self) -> bool:
        """Whether the picture alone would leave something unsaid."""
        return self.verdict is not Verdict.IN_RANGE


@dataclass(frozen=True)
class EngineGroup:
    """What belongs to one engine, or to the vessel where ``name`` says so."""

    name: str
    readings: list[ReadingRow]


@dataclass(frozen=True)
class Urged:
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
    lanes: list[SafeString]
    faults: list[FaultRow]
    reading_groups: list[EngineGroup]
    urged: list[Urged]
    figures: list[Figure]
    standing: tuple[Stand, Stand]
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
    return Paper(
        record=record,
        logo=f"data:image/png;base64,{base64.b64encode(logo_png).decode()}" if logo_png else "",
        qr=qr_svg(issue.verify_url, title=f"QR code of {issue.verify_url}") if issue else NOTHING,
        lanes=[fault_lanes(picture, width=LANES_WIDTH) for picture in lanes_pictures(findings)],
        faults=list(_fault_rows(findings.faults)),
        reading_groups=list(_reading_groups(findings.readings)),
        urged=list(_urged(findings)),
        figures=figures_of(findings),
        standing=stands(findings),
        open_before=open_before(findings),
    )


def _fault_rows(faults: Sequence[FaultFacts]) -> Iterator[FaultRow]:
    for index, fault in enumerate(sorted(faults, key=lambda fault: STATES_FIRST.index(FlagState(fault.state)))):
        yield FaultRow(fault, _flag(f"report-flag-{index}", FlagState(fault.state), fault.status_now))


def _flag(key: str, state: FlagState, status: str) -> SafeString:
    """A flag with a title element, which is what becomes its alternative text in the PDF."""
    piece = flag_piece(state, status)
    return picture(f"State: {flag_words(state, status)}", key, (piece.width, piece.height), "flag", piece.markup)


def _reading_groups(readings: Sequence[ReadingFacts]) -> Iterator[EngineGroup]:
    numbers = count(1)
    ordered = sorted(readings, key=lambda reading: (reading.engine == "", reading.engine))
    for engine, group in groupby(ordered, key=lambda reading: reading.engine):
        yield EngineGroup(engine or "Vessel", [_reading_row(reading, next(numbers)) for reading in group])


def _reading_row(reading: ReadingFacts, number: int) -> ReadingRow:
    verdict = Verdict(reading.verdict)
    strip = None
    if reading.low is not None or reading.high is not None:
        strip = range_strip(_strip(reading, number, verdict))
    return ReadingRow(reading, show(reading.value, reading.unit), _band(reading), strip, verdict)


def _strip(reading: ReadingFacts, number: int, verdict: Verdict) -> RangeStrip:
    def plain(name: str) -> float | None:
        value = getattr(reading, name)
        return None if value is None else float(value)

    return RangeStrip(
        key=f"report-strip-{number}",
        parameter=reading.parameter,
        value=float(reading.value),
        unit=reading.unit_label,
        verdict=verdict,
        low=plain("low"),
        high=plain("high"),
        minimum=plain("minimum"),
        maximum=plain("maximum"),
        nominal=plain("nominal"),
        sentence=reading.says,
    )


def _band(reading: ReadingFacts) -> str:
    if reading.low is not None and reading.high is not None:
        return f"{show(reading.low, reading.unit)} to {show(reading.high, reading.unit)}"
    if reading.low is not None:
        return f"at least {show(reading.low, reading.unit)}"
    return f"at most {show(reading.high, reading.unit)}" if reading.high is not None else "no limits known"


def _urged(findings: Findings) -> Iterator[Urged]:
    for urgency, label in URGENCIES.items():
        texts = [one.text for one in findings.recommendations if one.urgency == urgency]
        if texts:
            yield Urged(label, urgency.replace(" ", "-"), texts)
