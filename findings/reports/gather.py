"""Reading a job's findings out of the log, as facts for the record. Each method is a fixed number of queries."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from functools import cached_property
from typing import Any, TypeVar
from uuid import UUID
from zoneinfo import ZoneInfo

from django.db.models import Model

from engineering.codes import Code, explain, same_words
from engineering.faults import Episode, FaultHistory, FaultState, explain_state, replay
from engineering.measures import UNITS
from findings.faults.evidence import IS_EFFECTIVE, UnitEvidence, evidence_of_unit
from findings.faults.history import history_from_json
from findings.faults.models import Clear, Fault, Scan, WorkDone, WorkOnFault
from findings.faults.queries import other_units_words
from findings.instruments.models import MadeWith
from findings.instruments.wording import instrument_words
from findings.readings.judging import stored_judgment
from findings.readings.models import Reading
from findings.readings.queries import (
    DRAWN,
    add_marks,
    afterwards_of_reading,
    by_hand_of,
    effective_readings,
    value_remark,
)
from findings.readings.results import results_of_job
from findings.readings.working import Working, working_from_json
from findings.reports.aboard import Aboard
from findings.reports.record import (
    ClearFacts,
    CorrectionFacts,
    EpisodeFacts,
    FaultFacts,
    InputFacts,
    ReadingFacts,
    ResultFacts,
    ScanFacts,
    SeenFacts,
    WorkFacts,
    WorkingFacts,
)
from staff.queries import hold
from vessels.log.afterwards import Afterwards, afterwards
from vessels.log.evidence import superseded
from vessels.log.originals import first_authors
from vessels.models import LogEntry
from workorders.models import Job

PHASES = dict(Scan.PHASES)
STATES_FIRST = [
    FaultState.RETURNED,
    FaultState.NOT_FIXED_YET,
    FaultState.ACTIVE,
    FaultState.STORED,
    FaultState.CLEARED,
    FaultState.HISTORIC,
]


_Kind = tuple[int | None, str, str]
"""An engine, and a code by its system and text: the same on whichever unit."""


_Row = TypeVar("_Row", bound=Model)


def _as_written(rows: Iterable[_Row]) -> list[_Row]:
    """Rows of one entry in the order in which they were written, which a database promises to nobody."""
    return sorted(rows, key=lambda row: row.pk)


def _kind_of(fault: Fault) -> _Kind:
    return fault.engine_id, fault.system, fault.code


def _ended_by(episode: Episode, clears: Mapping[str, datetime]) -> bool:
    """Whether one of the clears ended the episode; one that came when the code was long gone touched nothing of it."""
    return episode.closed_by == "clear" and any(clears.get(key) == episode.closed_at for key in episode.keys)


def _working_facts(working: Working | None) -> WorkingFacts | None:
    """How a reading was worked out, where it was."""
    if working is None:
        return None
    inputs = tuple(InputFacts(label=one.label, value=one.value, unit=one.unit) for one in working.inputs)
    return WorkingFacts(
        title=working.title,
        inputs=inputs,
        outcome=working.outcome,
        formula=working.formula,
        source=working.source,
        is_measured=working.is_measured,
    )


def _made_with(finding: MadeWith) -> dict[str, Any]:
    """What the record says of the instrument of a finding."""
    return {
        "instrument": instrument_words(finding.registered_as or "", finding.instrument),
        "instrument_serial": finding.instrument_serial or "",
        "calibrated_on": finding.calibrated_on,
        "calibrated_until": finding.calibrated_until,
    }


def _first_authors(entries: Iterable[LogEntry]) -> Mapping[UUID, str]:
    return first_authors(entry.pk for entry in entries if entry.amends_id is not None)


def _witnesses(entry: LogEntry, first: Mapping[UUID, str]) -> dict[str, Any]:
    """Who found it, and who corrected what was written of it."""
    author = entry.author.name
    return {"by": first[entry.pk], "corrected_by": author} if entry.pk in first else {"by": author}


@dataclass(frozen=True)
class Source:
    """Where the facts of one job come from. Times come out in the shop's zone."""

    job: Job
    zone: ZoneInfo
    aboard: Aboard

    def engine_name(self, engine_id: int | None) -> str:
        """What the paper calls an engine; empty for the vessel itself."""
        return self.aboard.names.get(engine_id, "") if engine_id else ""

    @cached_property
    def _scans_of_job(self) -> list[Scan]:
        scans = Scan.objects.filter(IS_EFFECTIVE, entry__job=self.job).defer("raw")
        scans = scans.annotate(later=afterwards("entry_id"))
        return list(
            scans.select_related("entry__author", "unit")
            .prefetch_related("sightings")
            .order_by("entry__happened_at", "entry__position")
        )

    def scans(self) -> Iterator[ScanFacts]:
        """The read-outs of the job, in order of happening."""
        first = _first_authors(scan.entry for scan in self._scans_of_job)
        for scan in self._scans_of_job:
            yield ScanFacts(
                at=self._time(scan.entry.happened_at),
                hours=scan.entry.engine_hours,
                unit=self.aboard.unit_names.get(scan.unit_id, scan.unit.name),
                engine=self.engine_name(scan.unit.engine_id),
                phase=scan.get_phase_display(),
                is_complete=scan.is_complete,
                **_made_with(scan),
                **_witnesses(scan.entry, first),
                not_understood=scan.not_understood,
                seen=tuple(
                    SeenFacts(code=seen.label, status=seen.status, count=seen.count)
                    for seen in _as_written(scan.sightings.all())
                ),
                tells_codes=scan.tells_codes,
                is_correction=scan.entry.amends_id is not None,
                file_sha256=scan.file_sha256 or "",
                corrections=self._corrections(scan),
            )

    def clears(self) -> Iterator[ClearFacts]:
        """Every clear of the boat's units by the job's end, in order of happening."""
        found = Clear.objects.filter(IS_EFFECTIVE, unit__in=self.aboard.units)
        found = found.annotate(later=afterwards("entry_id"))
        clears = list(
            self.aboard.by_the_end(found, "entry__happened_at")
            .select_related("entry__author", "entry__job", "unit")
            .prefetch_related("cleared")
            .order_by("entry__happened_at", "entry__position")
        )
        first = _first_authors(clear.entry for clear in clears)
        for clear in clears:
            entry = clear.entry
            yield ClearFacts(
                at=self._time(entry.happened_at),
                hours=entry.engine_hours,
                unit=self.aboard.unit_names.get(clear.unit_id, clear.unit.name),
                engine=self.engine_name(clear.unit.engine_id),
                codes=() if clear.everything else tuple(one.label for one in _as_written(clear.cleared.all())),
                job=str(entry.job.number) if entry.job else "",
                text=entry.text,
                **_witnesses(entry, first),
                corrections=self._corrections(clear),
            )

    @cached_property
    def _work_of_job(self) -> list[WorkDone]:
        work = WorkDone.objects.filter(IS_EFFECTIVE, entry__job=self.job).annotate(later=afterwards("entry_id"))
        return list(
            work.select_related("entry__author")
            .prefetch_related("about__fault")
            .order_by("entry__happened_at", "entry__position")
        )

    def work(self) -> Iterator[WorkFacts]:
        """The work of the job about fault codes, in order of happening."""
        for work in self._work_of_job:
            about = _as_written(work.about.all())
            units = {self.aboard.unit_names.get(one.fault.unit_id, "") for one in about} - {""}
            codes = tuple(one.label for one in about)
            engine = self.engine_name(work.entry.engine_id)
            told = self._work_facts(work, work.entry, codes, job=str(self.job.number))
            yield replace(told, engine=engine, units=tuple(sorted(units)))

    def faults(self) -> Iterator[FaultFacts]:
        """Every code of the units that were in the boat, open ones first, with its history up to the job's end."""
        touched = self._touched_faults()
        clears = self._clears_of_job()
        last_work = self._last_work()
        known = [(fault, history) for fault, history in self._histories() if history.state is not FaultState.NONE]
        codes: dict[int, list[Code]] = defaultdict(list)
        for fault, _ in known:
            codes[fault.unit_id].append(fault.as_code)
        elsewhere = self._by_unit([fault for fault, _ in known])
        for fault, history in sorted(known, key=lambda pair: STATES_FIRST.index(pair[1].state)):
            work = last_work.get(fault.pk)
            of_job = fault.pk in touched or any(_ended_by(episode, clears) for episode in history.episodes)
            others = [name for unit, name in elsewhere[_kind_of(fault)] if unit != fault.unit_id]
            same = f"{same_words(fault.as_code, codes[fault.unit_id])} {other_units_words(others)}".strip()
            yield self._fault_facts(fault, history, in_this_job=of_job, work=work, same=same)

    def _by_unit(self, aboard: Sequence[Fault]) -> Mapping[_Kind, Sequence[tuple[int, str]]]:
        """Of each code of an engine the units that had it: those aboard, and those that were taken out before."""
        opened = self.job.opened_at.astimezone(self.zone).date()
        gone = Fault.objects.filter(vessel_id=self.job.vessel_id, unit__removed_on__lt=opened).exclude(state="none")
        before = gone.exclude(unit__in=self.aboard.units).select_related("unit__engine").order_by("unit_id")
        found: dict[_Kind, list[tuple[int, str]]] = defaultdict(list)
        for fault in [*aboard, *before]:
            if fault.engine_id is not None:
                name = self.aboard.unit_names.get(fault.unit_id) or str(fault.unit)
                found[_kind_of(fault)].append((fault.unit_id, name))
        return found

    def _histories(self) -> Iterator[tuple[Fault, FaultHistory]]:
        """Each fault with its history. What is cached knows all that came later, so that is replayed without it."""
        faults = Fault.objects.filter(unit__in=self.aboard.units).order_by("unit_id", "system", "code")
        late = self._units_with_later_evidence()
        evidence = {unit_id: evidence_of_unit(unit_id) for unit_id in late}
        for fault in faults:
            if fault.unit_id in late:
                yield fault, self._history_by_the_end(fault, evidence[fault.unit_id])
            else:
                yield fault, history_from_json(fault.history)

    def _history_by_the_end(self, fault: Fault, evidence: UnitEvidence) -> FaultHistory:
        end = self.aboard.end
        return replay((item for item in evidence.of_fault(fault) if end is None or item.at <= end), hold=hold())

    def _units_with_later_evidence(self) -> set[int]:
        """Units that were scanned or cleared after the job's end."""
        if self.aboard.end is None:
            return set()
        late = {"unit__in": self.aboard.units, "entry__happened_at__gt": self.aboard.end}
        scans = Scan.objects.filter(IS_EFFECTIVE, **late).values_list("unit_id", flat=True)
        clears = Clear.objects.filter(IS_EFFECTIVE, **late).values_list("unit_id", flat=True)
        return {*scans, *clears}

    def _fault_facts(
        self, fault: Fault, history: FaultHistory, *, in_this_job: bool, work: WorkOnFault | None, same: str
    ) -> FaultFacts:
        done = work.work.entry if work else None
        return FaultFacts(
            code=fault.label,
            system=fault.get_system_display(),
            meaning=explain(fault.as_code).title,
            unit=self.aboard.unit_names[fault.unit_id],
            engine=self.engine_name(fault.engine_id),
            state=history.state.value,
            status_now=history.status_now.value if history.status_now else "",
            says=f"{explain_state(history, self.zone)} {same}".rstrip(),
            proven_to_at=self._known(history.proven_to_at),
            proven_to_hours=history.proven_to_hours,
            in_this_job=in_this_job,
            episodes=tuple(self._episode_facts(episode) for episode in history.episodes),
            last_work=self._work_facts(work, done, (fault.label,), job=str(done.job.number) if done.job else "")
            if work and done
            else None,
        )

    def _episode_facts(self, episode: Episode) -> EpisodeFacts:
        return EpisodeFacts(
            opened_at=self._time(episode.opened_at),
            opened_hours=episode.opened_hours,
            beginning_unknown=episode.beginning_unknown,
            last_status=episode.last_status.value,
            last_seen_at=self._time(episode.last_seen_at),
            last_seen_hours=episode.last_seen_hours,
            closed_at=self._known(episode.closed_at),
            closed_hours=episode.closed_hours,
            closed_by=episode.closed_by or "",
            gap_hours=episode.gap_hours,
            gap_days=episode.gap_days,
            sightings=episode.sightings,
            not_fixed_yet=episode.not_fixed_yet,
        )

    def _work_facts(
        self, found: WorkDone | WorkOnFault, entry: LogEntry, codes: tuple[str, ...], *, job: str
    ) -> WorkFacts:
        return WorkFacts(
            at=self._time(entry.happened_at),
            hours=entry.engine_hours,
            job=job,
            by=entry.author.name,
            text=entry.text,
            codes=codes,
            corrections=self._corrections(found),
        )

    def _corrections(self, found: Scan | Clear | WorkDone | WorkOnFault) -> tuple[CorrectionFacts, ...]:
        """The notes that correct what is written of a finding, whenever they were written."""
        later: Afterwards = found.later  # type: ignore[union-attr]  # annotated where it was read
        return self._told(later)

    def _told(self, later: Afterwards) -> tuple[CorrectionFacts, ...]:
        return tuple(CorrectionFacts(by=one.by, at=self._time(one.at), text=one.text) for one in later.notes)

    def _touched_faults(self) -> set[int]:
        seen = {sighting.fault_id for scan in self._scans_of_job for sighting in scan.sightings.all()}
        cleared = Clear.objects.filter(IS_EFFECTIVE, entry__job=self.job).values_list("cleared__fault_id", flat=True)
        named = {key for key in cleared if key is not None}
        return seen | named | {about.fault_id for work in self._work_of_job for about in work.about.all()}

    def _clears_of_job(self) -> dict[str, datetime]:
        """When the job's clears happened, by their entries as the histories name them."""
        found = Clear.objects.filter(IS_EFFECTIVE, entry__job=self.job).values_list("pk", "entry__happened_at")
        return {str(key): at for key, at in found}

    def _last_work(self) -> dict[int, WorkOnFault]:
        """The last work that still counts about each fault of the boat, by the job's end."""
        done = WorkOnFault.objects.filter(~superseded("work_id"), fault__vessel_id=self.job.vessel_id)
        done = done.annotate(later=afterwards("work_id"))
        rows = (
            self.aboard.by_the_end(done, "work__entry__happened_at")
            .select_related("work__entry__author", "work__entry__job")
            .order_by("fault_id", "-work__entry__happened_at", "-work__entry__position")
            .distinct("fault_id")
        )
        return {row.fault_id: row for row in rows}

    def readings(self) -> Iterator[ReadingFacts]:
        """The readings of the job that stand, in order of parameter, then of happening."""
        readings = effective_readings().filter(entry__job=self.job)
        in_order = list(readings.order_by("parameter__position", "parameter__name", "entry__happened_at", "pk"))
        add_marks(in_order)
        first = _first_authors(reading.entry for reading in in_order)
        for reading in in_order:
            yield self._reading_facts(reading, first)

    def results(self) -> Iterator[ResultFacts]:
        """The calculated results in words that stand on the job, in order of happening."""
        for entry in results_of_job(self.job):
            yield ResultFacts(
                at=self._time(entry.happened_at),
                hours=entry.engine_hours,
                title=entry.summary,
                text=entry.text,
                by=entry.author.name,
            )

    def _reading_facts(self, reading: Reading, first: Mapping[UUID, str]) -> ReadingFacts:
        judgment = stored_judgment(reading)
        return ReadingFacts(
            at=self._time(reading.entry.happened_at),
            hours=reading.entry.engine_hours,
            engine=self.engine_name(reading.entry.engine_id),
            parameter=reading.parameter.name,
            value=reading.value,
            unit=reading.unit,
            unit_label=UNITS[reading.unit].label,
            minimum=reading.minimum,
            maximum=reading.maximum,
            condition=reading.condition,
            **_made_with(reading),
            phase=PHASES.get(reading.phase, reading.phase),
            low=reading.low,
            nominal=reading.nominal,
            high=reading.high,
            limits_from=reading.limits_from,
            verdict=DRAWN[judgment.verdict].value,
            says=judgment.sentence,
            remark=value_remark(reading),
            working=_working_facts(working_from_json(reading.worked_from)),
            **_witnesses(reading.entry, first),
            is_correction=reading.entry.amends_id is not None,
            file_sha256=reading.file_sha256 or "",
            by_hand=by_hand_of(reading),
            corrections=self._told(afterwards_of_reading(reading)),
        )

    def _time(self, value: datetime) -> datetime:
        return value.astimezone(self.zone)

    def _known(self, value: datetime | None) -> datetime | None:
        return value.astimezone(self.zone) if value else None
