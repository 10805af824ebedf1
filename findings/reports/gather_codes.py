"""A job's codes out of the log, as facts for the record. Each method is a fixed number of queries."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from functools import cached_property

from engineering.codes import Code, explain, same_words
from engineering.faults import Episode, FaultHistory, FaultState, Length, explain_state, replay
from findings.faults.evidence import IS_EFFECTIVE, UnitEvidence, evidence_of_unit
from findings.faults.history import history_from_json
from findings.faults.models import Clear, Fault, Scan, WorkDone, WorkOnFault
from findings.faults.queries import other_units_words
from findings.reports.record import (
    ClearFacts,
    CorrectionFacts,
    EpisodeFacts,
    FaultFacts,
    ScanFacts,
    SeenFacts,
    WorkFacts,
)
from findings.reports.source import Source, as_written, authors_before, made_with, witnesses
from staff.queries import hold
from vessels.identity import SerialRead, another_unit_words
from vessels.log.afterwards import Afterwards, afterwards
from vessels.log.evidence import superseded
from vessels.models import LogEntry

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


def _kind_of(fault: Fault) -> _Kind:
    return fault.engine_id, fault.system, fault.code


def ended_by(episode: Episode, clears: Mapping[str, datetime]) -> bool:
    """Whether one of the clears ended the episode; one that came when the code was long gone touched nothing of it."""
    return episode.closed_by == "clear" and any(clears.get(key) == episode.closed_at for key in episode.keys)


@dataclass(frozen=True)
class CodesOfJob:
    """Read-outs, clears, work and faults of the job that ``source`` is of; what several of them need is read once."""

    source: Source
    serials: Mapping[int, Sequence[SerialRead]] = field(default_factory=dict)
    """The serial numbers that each unit was logged with, in order of time."""

    @cached_property
    def _scans_of_job(self) -> list[Scan]:
        scans = Scan.objects.filter(IS_EFFECTIVE, entry__job=self.source.job).defer("raw")
        scans = scans.annotate(later=afterwards("entry_id"))
        return list(
            scans.select_related("entry__author", "unit")
            .prefetch_related("sightings")
            .order_by("entry__happened_at", "entry__position")
        )

    def scans(self) -> Iterator[ScanFacts]:
        """The read-outs of the job, in order of happening."""
        first = authors_before(scan.entry for scan in self._scans_of_job)
        for scan in self._scans_of_job:
            yield ScanFacts(
                at=self.source.at(scan.entry.happened_at),
                hours=scan.entry.engine_hours,
                unit=self.source.aboard.unit_names.get(scan.unit_id, scan.unit.name),
                engine=self.source.engine_name(scan.unit.engine_id),
                phase=scan.get_phase_display(),
                is_complete=scan.is_complete,
                **made_with(scan),
                **witnesses(scan.entry, first),
                not_understood=scan.not_understood,
                seen=tuple(
                    SeenFacts(code=seen.label, status=seen.status, count=seen.count)
                    for seen in as_written(scan.sightings.all())
                ),
                tells_codes=scan.tells_codes,
                is_correction=scan.entry.amends_id is not None,
                file_sha256=scan.file_sha256 or "",
                corrections=self._corrections(scan),
            )

    def clears(self) -> Iterator[ClearFacts]:
        """Every clear of the boat's units by the job's end, in order of happening."""
        found = Clear.objects.filter(IS_EFFECTIVE, unit__in=self.source.aboard.units)
        found = found.annotate(later=afterwards("entry_id"))
        clears = list(
            self.source.aboard.by_the_end(found, "entry__happened_at")
            .select_related("entry__author", "entry__job", "unit")
            .prefetch_related("cleared")
            .order_by("entry__happened_at", "entry__position")
        )
        first = authors_before(clear.entry for clear in clears)
        for clear in clears:
            entry = clear.entry
            yield ClearFacts(
                at=self.source.at(entry.happened_at),
                hours=entry.engine_hours,
                unit=self.source.aboard.unit_names.get(clear.unit_id, clear.unit.name),
                engine=self.source.engine_name(clear.unit.engine_id),
                codes=() if clear.everything else tuple(one.label for one in as_written(clear.cleared.all())),
                job=str(entry.job.number) if entry.job else "",
                text=entry.text,
                **witnesses(entry, first),
                corrections=self._corrections(clear),
            )

    @cached_property
    def _work_of_job(self) -> list[WorkDone]:
        work = WorkDone.objects.filter(IS_EFFECTIVE, entry__job=self.source.job).annotate(later=afterwards("entry_id"))
        return list(
            work.select_related("entry__author")
            .prefetch_related("about__fault")
            .order_by("entry__happened_at", "entry__position")
        )

    def work(self) -> Iterator[WorkFacts]:
        """The work of the job about fault codes, in order of happening."""
        for work in self._work_of_job:
            about = as_written(work.about.all())
            units = {self.source.aboard.unit_names.get(one.fault.unit_id, "") for one in about} - {""}
            codes = tuple(one.label for one in about)
            engine = self.source.engine_name(work.entry.engine_id)
            told = self._work_facts(work, work.entry, codes, job=str(self.source.job.number))
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
            of_job = fault.pk in touched or any(ended_by(episode, clears) for episode in history.episodes)
            others = [name for unit, name in elsewhere[_kind_of(fault)] if unit != fault.unit_id]
            same = f"{same_words(fault.as_code, codes[fault.unit_id])} {other_units_words(others)}".strip()
            same = f"{same} {self._another_unit(fault, history)}".strip()
            yield self._fault_facts(fault, history, in_this_job=of_job, work=work, same=same)

    def _another_unit(self, fault: Fault, history: FaultHistory) -> str:
        """That scans since it was first seen may be of another unit."""
        since, reads = history.episodes[0].opened_at, self.serials.get(fault.unit_id, ())
        return another_unit_words(reads, since=since, until=self.source.aboard.end)

    def _by_unit(self, aboard: Sequence[Fault]) -> Mapping[_Kind, Sequence[tuple[int, str]]]:
        """Of each code of an engine the units that had it: those aboard, and those that were taken out before."""
        opened = self.source.job.opened_at.astimezone(self.source.zone).date()
        gone = Fault.objects.filter(vessel_id=self.source.job.vessel_id, unit__removed_on__lt=opened).exclude(
            state="none"
        )
        before = gone.exclude(unit__in=self.source.aboard.units).select_related("unit__engine").order_by("unit_id")
        found: dict[_Kind, list[tuple[int, str]]] = defaultdict(list)
        for fault in [*aboard, *before]:
            if fault.engine_id is not None:
                name = self.source.aboard.unit_names.get(fault.unit_id) or str(fault.unit)
                found[_kind_of(fault)].append((fault.unit_id, name))
        return found

    def _histories(self) -> Iterator[tuple[Fault, FaultHistory]]:
        """Each fault with its history. What is cached knows all that came later, so that is replayed without it."""
        faults = Fault.objects.filter(unit__in=self.source.aboard.units).order_by("unit_id", "system", "code")
        late = self._units_with_later_evidence()
        evidence = {unit_id: evidence_of_unit(unit_id) for unit_id in late}
        for fault in faults:
            if fault.unit_id in late:
                yield fault, self._history_by_the_end(fault, evidence[fault.unit_id])
            else:
                yield fault, history_from_json(fault.history)

    def _history_by_the_end(self, fault: Fault, evidence: UnitEvidence) -> FaultHistory:
        end = self.source.aboard.end
        return replay((item for item in evidence.of_fault(fault) if end is None or item.at <= end), hold=hold())

    def _units_with_later_evidence(self) -> set[int]:
        """Units that were scanned or cleared after the job's end."""
        if self.source.aboard.end is None:
            return set()
        late = {"unit__in": self.source.aboard.units, "entry__happened_at__gt": self.source.aboard.end}
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
            unit=self.source.aboard.unit_names[fault.unit_id],
            engine=self.source.engine_name(fault.engine_id),
            state=history.state.value,
            status_now=history.status_now.value if history.status_now else "",
            says=f"{explain_state(history, self.source.zone)} {same}".rstrip(),
            proven_to_at=self.source.at_if_known(history.proven_to_at),
            proven_to_hours=history.proven_to_hours,
            in_this_job=in_this_job,
            episodes=tuple(
                self._episode_facts(episode, history.longest_away(index))
                for index, episode in enumerate(history.episodes)
            ),
            last_work=self._work_facts(work, done, (fault.label,), job=str(done.job.number) if done.job else "")
            if work and done
            else None,
        )

    def _episode_facts(self, episode: Episode, away: Length | None) -> EpisodeFacts:
        return EpisodeFacts(
            opened_at=self.source.at(episode.opened_at),
            opened_hours=episode.opened_hours,
            beginning_unknown=episode.beginning_unknown,
            last_status=episode.last_status.value,
            last_seen_at=self.source.at(episode.last_seen_at),
            last_seen_hours=episode.last_seen_hours,
            closed_at=self.source.at_if_known(episode.closed_at),
            closed_hours=episode.closed_hours,
            closed_by=episode.closed_by or "",
            gap_hours=away.hours if away is not None else None,
            gap_days=away.days if away is not None else None,
            sightings=episode.sightings,
            not_fixed_yet=episode.not_fixed_yet,
        )

    def _work_facts(
        self, found: WorkDone | WorkOnFault, entry: LogEntry, codes: tuple[str, ...], *, job: str
    ) -> WorkFacts:
        return WorkFacts(
            at=self.source.at(entry.happened_at),
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
        return self.source.told(later)

    def _touched_faults(self) -> set[int]:
        seen = {sighting.fault_id for scan in self._scans_of_job for sighting in scan.sightings.all()}
        cleared = Clear.objects.filter(IS_EFFECTIVE, entry__job=self.source.job).values_list(
            "cleared__fault_id", flat=True
        )
        named = {key for key in cleared if key is not None}
        return seen | named | {about.fault_id for work in self._work_of_job for about in work.about.all()}

    def _clears_of_job(self) -> dict[str, datetime]:
        """When the job's clears happened, by their entries as the histories name them."""
        found = Clear.objects.filter(IS_EFFECTIVE, entry__job=self.source.job).values_list("pk", "entry__happened_at")
        return {str(key): at for key, at in found}

    def _last_work(self) -> dict[int, WorkOnFault]:
        """The last work that still counts about each fault of the boat, by the job's end."""
        done = WorkOnFault.objects.filter(~superseded("work_id"), fault__vessel_id=self.source.job.vessel_id)
        done = done.annotate(later=afterwards("work_id"))
        rows = (
            self.source.aboard.by_the_end(done, "work__entry__happened_at")
            .select_related("work__entry__author", "work__entry__job")
            .order_by("fault_id", "-work__entry__happened_at", "-work__entry__position")
            .distinct("fault_id")
        )
        return {row.fault_id: row for row in rows}
