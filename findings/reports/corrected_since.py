"""What became of what an issued report rests on after it was signed: the file still says what was known before."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from django.db.models import Q
from django.utils.text import Truncator

from findings.happenings.kinds import SET_BACK, SETTING
from findings.happenings.standing import bearing_on
from findings.reports.models import IssuedReport
from findings.reports.record import from_json
from vessels.log.afterwards import THAT_WAS_VOIDED
from vessels.log.evidence import NOTE, RETRACTION
from vessels.log.registry import all_kinds, kind_of
from vessels.models import LogEntry
from vessels.wording import day_words, known_as

IDENTIFIED = "unit-identified"
HISTORY = frozenset({"scan", "clear"})
"""Kinds of which every entry of the boat by the job's end is behind the history of a code, on whichever job it was."""


@dataclass(frozen=True)
class CorrectedSince:
    """One entry that the report rests on, and what was written about it later."""

    entry: LogEntry
    later: LogEntry
    is_void: bool
    """Whether what was written later was itself voided."""

    @property
    def of(self) -> str:
        """What it is, of which day, in its first words."""
        return _named(self.entry)

    @property
    def done(self) -> str:
        """What was done to it, by whom and when: "voided by Ada Moss, Nov 28, 2026"."""
        took_back = self.later.kind == RETRACTION and self.later.amends_id != self.entry.pk
        done = (
            "a correction of it was voided" if took_back else "voided" if self.later.kind == RETRACTION else "corrected"
        )
        void = f" {THAT_WAS_VOIDED}" if self.is_void else ""
        return f"{done} by {self.later.author.name}, {day_words(self.later.recorded_at)}{void}"


@dataclass(frozen=True)
class EnteredSince:
    """One entry that the report would tell of, had it been there when it was signed."""

    entry: LogEntry

    @property
    def of(self) -> str:
        """What it is, of which day, in its first words."""
        return _named(self.entry)

    @property
    def done(self) -> str:
        """By whom it was entered, and when."""
        return f"entered by {self.entry.author.name}, {day_words(self.entry.recorded_at)}"


def entered_since(report: IssuedReport) -> list[EnteredSince]:
    """What was entered late, in the order in which that was: of the job, and what its histories of codes are made of.

    What happened after a report on an open job was signed is no late entry: the report is of before.
    """
    end = from_json(report.record).findings.job.ended_at
    of_job = Q(job_id=report.job_id, kind__in=[kind.slug for kind in all_kinds() if kind.evidence])
    if end is None:
        of_job &= Q(happened_at__lte=report.signed_at)
    of_boat = Q(kind__in=HISTORY, happened_at__lte=end or report.signed_at)
    of_boat |= Q(pk__in=bearing_on(report.job), happened_at__lte=end or report.signed_at)
    found = LogEntry.objects.filter(vessel_id=report.job.vessel_id, amends=None, recorded_at__gt=report.signed_at)
    return [EnteredSince(one) for one in found.filter(of_job | of_boat).select_related("author").order_by("position")]


def corrected_since(report: IssuedReport) -> list[CorrectedSince]:
    """What the report rests on that was corrected or voided since, in the order in which that was written."""
    amending = (
        LogEntry.objects.filter(vessel_id=report.job.vessel_id, amends__isnull=False, recorded_at__gt=report.signed_at)
        .select_related("author", "amends__amends")
        .order_by("position")
    )
    found = list(amending)
    return list(_rested_on(report, found)) if found else []


def _rested_on(report: IssuedReport, amending: list[LogEntry]) -> Iterator[CorrectedSince]:
    void = {later.amends_id for later in amending if later.kind == RETRACTION}
    for later in amending:
        entry = _first(later)
        if entry.recorded_at <= report.signed_at and _rests_on(report, entry):
            yield CorrectedSince(entry, later, later.pk in void)


def _first(later: LogEntry) -> LogEntry:
    """What an entry is about in the end: of a note about a note, or of a voided note, what that note corrects."""
    entry = later.amends
    while entry is not None and entry.kind == NOTE and entry.amends is not None:
        entry = entry.amends
    assert entry is not None  # noqa: S101  (only entries that amend are asked)
    return entry


def _rests_on(report: IssuedReport, entry: LogEntry) -> bool:
    if entry.job_id == report.job_id:
        return kind_of(entry.kind).evidence
    findings = from_json(report.record).findings
    if entry.kind in {SETTING, SET_BACK} and bearing_on(report.job).filter(pk=entry.pk).exists():
        end = findings.job.ended_at
        return end is None or entry.happened_at <= end
    if entry.kind in HISTORY:
        end = findings.job.ended_at
        return end is None or entry.happened_at <= end
    read = [(one.hours_at, one.hours) for one in findings.engines]
    read += [(one.hours_before_at, one.hours_before) for one in findings.engines]
    if (entry.happened_at, entry.engine_hours) in read:
        return True
    if entry.kind == IDENTIFIED and any(unit.identified_at == entry.happened_at for unit in findings.units):
        return True
    told = (fault.last_work for fault in findings.faults)
    return any(one is not None and one.at == entry.happened_at and one.text == entry.text for one in told)


def _named(entry: LogEntry) -> str:
    said = Truncator(entry.text or known_as(entry)).chars(120)
    return f"{kind_of(entry.kind).label} of {day_words(entry.happened_at)}: “{said}”"
