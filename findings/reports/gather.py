"""Reading a job's findings out of the log, as facts for the record. Each method is a fixed number of queries."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property
from uuid import UUID
from zoneinfo import ZoneInfo

from django.db.models import Q

from engineering.codes import explain
from engineering.faults import Episode, FaultHistory, FaultState, explain_state
from engineering.measures import UNITS
from findings.faults.evidence import IN_FORCE
from findings.faults.history import history_from_json
from findings.models import Clear, Fault, Reading, Scan, WorkDone, WorkOnFault
from findings.readings.judging import stored_judgment
from findings.readings.queries import DRAWN, standing_readings
from findings.readings.working import Working, working_from_json
from findings.reports.record import (
    EpisodeFacts,
    FaultFacts,
    InputFacts,
    ReadingFacts,
    ScanFacts,
    SeenFacts,
    WorkFacts,
    WorkingFacts,
)
from vessels.log.evidence import undone
from vessels.models import ControlUnit, Engine, LogEntry, UnitIdentification
from workorders.models import Job

PHASES = dict(Scan.PHASES)
STATES_FIRST = [FaultState.RETURNED, FaultState.ACTIVE, FaultState.STORED, FaultState.CLEARED, FaultState.HISTORIC]


def engines_of(vessel_id: int) -> list[Engine]:
    """The engines that are in the boat, with their hour meters."""
    engines = Engine.objects.filter(vessel_id=vessel_id, removed_on=None)
    return list(engines.select_related("family").prefetch_related("meters"))


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
    )


@dataclass(frozen=True)
class Source:
    """Where the facts of one job come from. Times come out in the shop's zone."""

    job: Job
    zone: ZoneInfo
    engine_names: dict[int, str]

    def engine_name(self, engine_id: int | None) -> str:
        """What the paper calls an engine; empty for the vessel itself and for an engine no longer in the boat."""
        return self.engine_names.get(engine_id, "") if engine_id else ""

    def unit_name(self, unit: ControlUnit) -> str:
        """What the paper calls a control unit."""
        engine = self.engine_name(unit.engine_id)
        return f"{unit.name} ({engine.lower()})" if engine else unit.name

    def hours_of_engines(self) -> dict[int, LogEntry]:
        """The last entry of each engine that says its true hours and that nobody corrected."""
        entries = LogEntry.objects.filter(
            ~undone("pk"), engine__in=self.engine_names, engine_hours__isnull=False
        ).order_by("engine_id", "-happened_at", "-position")
        return {entry.engine_id: entry for entry in entries.distinct("engine_id") if entry.engine_id}

    def units(self) -> list[tuple[ControlUnit, UnitIdentification | None]]:
        """The control units in the boat with what each last said it was."""
        units = [
            unit
            for unit in ControlUnit.objects.filter(vessel_id=self.job.vessel_id, removed_on=None)
            if unit.engine_id is None or unit.engine_id in self.engine_names
        ]
        said = (
            UnitIdentification.objects.filter(IN_FORCE, unit__in=units)
            .select_related("entry")
            .order_by("unit_id", "-entry__happened_at", "-entry__position")
            .distinct("unit_id")
        )
        by_unit = {one.unit_id: one for one in said}
        return [(unit, by_unit.get(unit.pk)) for unit in units]

    @cached_property
    def _scans_of_job(self) -> list[Scan]:
        scans = Scan.objects.filter(IN_FORCE, entry__job=self.job).defer("raw")
        return list(
            scans.select_related("entry__author", "unit")
            .prefetch_related("sightings")
            .order_by("entry__happened_at", "entry__position")
        )

    def scans(self) -> Iterator[ScanFacts]:
        """The read-outs of the job, in order of happening."""
        for scan in self._scans_of_job:
            yield ScanFacts(
                at=self._time(scan.entry.happened_at),
                hours=scan.entry.engine_hours,
                unit=self.unit_name(scan.unit),
                engine=self.engine_name(scan.unit.engine_id),
                phase=scan.get_phase_display(),
                is_complete=scan.is_complete,
                instrument=scan.instrument,
                by=scan.entry.author.name,
                not_understood=scan.not_understood,
                seen=tuple(
                    SeenFacts(code=seen.label, status=seen.status, count=seen.count) for seen in scan.sightings.all()
                ),
            )

    @cached_property
    def _work_of_job(self) -> list[WorkDone]:
        work = WorkDone.objects.filter(IN_FORCE, entry__job=self.job)
        return list(
            work.select_related("entry__author")
            .prefetch_related("about")
            .order_by("entry__happened_at", "entry__position")
        )

    def work(self) -> Iterator[WorkFacts]:
        """The work of the job about fault codes, in order of happening."""
        for work in self._work_of_job:
            codes = tuple(about.label for about in work.about.all())
            yield self._work_facts(work.entry, codes, job=str(self.job.number))

    def faults(self) -> Iterator[FaultFacts]:
        """Every code of the boat's units, open ones first, with its whole history."""
        touched = self._touched_faults()
        clears = self._clears_of_job()
        last_work = self._last_work()
        faults = (
            Fault.objects.filter(vessel_id=self.job.vessel_id, unit__removed_on=None)
            .exclude(state=FaultState.NONE.value)
            .filter(Q(engine=None) | Q(engine__in=self.engine_names))
            .select_related("unit")
            .order_by("unit_id", "system", "code")
        )
        for fault in sorted(faults, key=lambda fault: STATES_FIRST.index(FaultState(fault.state))):
            history = history_from_json(fault.history)
            keys = {key for episode in history.episodes for key in episode.keys}
            work = last_work.get(fault.pk)
            yield self._fault_facts(fault, history, in_this_job=fault.pk in touched or bool(keys & clears), work=work)

    def _fault_facts(
        self, fault: Fault, history: FaultHistory, *, in_this_job: bool, work: WorkOnFault | None
    ) -> FaultFacts:
        done = work.work.entry if work else None
        return FaultFacts(
            code=fault.label,
            system=fault.get_system_display(),
            meaning=explain(fault.as_code).title,
            unit=self.unit_name(fault.unit),
            engine=self.engine_name(fault.engine_id),
            state=history.state.value,
            status_now=history.status_now.value if history.status_now else "",
            says=explain_state(history),
            proven_to_at=self._known(history.proven_to_at),
            proven_to_hours=history.proven_to_hours,
            in_this_job=in_this_job,
            episodes=tuple(self._episode_facts(episode) for episode in history.episodes),
            last_work=self._work_facts(done, (fault.label,), job=str(done.job.number) if done.job else "")
            if done
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
        )

    def _work_facts(self, entry: LogEntry, codes: tuple[str, ...], *, job: str) -> WorkFacts:
        return WorkFacts(
            at=self._time(entry.happened_at),
            hours=entry.engine_hours,
            job=job,
            by=entry.author.name,
            text=entry.text,
            codes=codes,
        )

    def _touched_faults(self) -> set[int]:
        seen = {sighting.fault_id for scan in self._scans_of_job for sighting in scan.sightings.all()}
        return seen | {about.fault_id for work in self._work_of_job for about in work.about.all()}

    def _clears_of_job(self) -> set[str]:
        """Entries of the job's clears, as the histories name them."""
        keys: list[UUID] = list(Clear.objects.filter(IN_FORCE, entry__job=self.job).values_list("pk", flat=True))
        return {str(key) for key in keys}

    def _last_work(self) -> dict[int, WorkOnFault]:
        """The last work that still counts about each fault of the boat."""
        rows = (
            WorkOnFault.objects.filter(~undone("work_id"), fault__vessel_id=self.job.vessel_id)
            .select_related("work__entry__author", "work__entry__job")
            .order_by("fault_id", "-work__entry__happened_at", "-work__entry__position")
            .distinct("fault_id")
        )
        return {row.fault_id: row for row in rows}

    def readings(self) -> Iterator[ReadingFacts]:
        """The readings of the job that stand, in order of parameter, then of happening."""
        readings = standing_readings().filter(entry__job=self.job)
        for reading in readings.order_by("parameter__position", "parameter__name", "entry__happened_at", "pk"):
            yield self._reading_facts(reading)

    def _reading_facts(self, reading: Reading) -> ReadingFacts:
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
            instrument=reading.instrument,
            phase=PHASES.get(reading.phase, reading.phase),
            low=reading.low,
            nominal=reading.nominal,
            high=reading.high,
            limits_from=reading.limits_from,
            verdict=DRAWN[judgment.verdict].value,
            says=judgment.sentence,
            working=_working_facts(working_from_json(reading.worked_from)),
        )

    def _time(self, value: datetime) -> datetime:
        return value.astimezone(self.zone)

    def _known(self, value: datetime | None) -> datetime | None:
        return value.astimezone(self.zone) if value else None
