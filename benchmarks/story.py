"""Everything that is on record of one hull: its rows, its log with the chain of digests, its faults as replayed.

The rows are the models' own, the digests the chain's own, the faults what the replay makes of the evidence: what is
measured is what people would have written, only sooner.
"""

from __future__ import annotations

import random
import uuid
from collections import defaultdict
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from itertools import count
from typing import Any

from django.db import models

from benchmarks import layout
from engineering.canonical import chain_digest
from engineering.codes import CodeStatus
from engineering.faults import Hold
from engineering.measures import to_si
from findings.faults.evidence import UnitEvidence
from findings.faults.models import Clear, ClearedFault, Fault, Scan, Sighting, WorkDone, WorkOnFault
from findings.faults.replaying import derive
from findings.readings.models import Reading
from vessels.log.chain import GENESIS, entry_body
from vessels.models import (
    ControlUnit,
    Engine,
    HourMeter,
    HourReading,
    LogEntry,
    Ownership,
    UnitFitting,
    UnitIdentification,
    Vessel,
)
from workorders.models import Charge, Job, JobLine, JobMove

BEGINNING = datetime(2018, 1, 8, 13, 0, tzinfo=UTC)
SPAN = timedelta(days=8 * 365)
A_VISIT = 12
TWELVE_PLACES = Decimal(1).scaleb(-12)
TOLD = (
    "Checked the connector behind the panel, cleaned the pins, and ran it at the dock until warm. "
    "No smoke, no knock, charging steady. Told the owner to watch it on the next long run."
)
WORDS = TOLD.split()


class Story:
    """Writes one hull's rows into ``rows``, by model."""

    def __init__(self, hull: int, entries: int, people: list[int], parameter: int, hold: Hold) -> None:
        self.hull, self.entries, self.people, self.parameter, self.hold = hull, entries, people, parameter, hold
        self.rows: dict[type[models.Model], list[models.Model]] = defaultdict(list)
        self.chance = random.Random(hull)  # the same hull every time
        self.children = count(1 if hull == 0 else hull * 10_000 + 1_000_000)
        self.at = BEGINNING + timedelta(hours=hull % 500)
        self.engines: list[Engine] = []
        self.units: list[ControlUnit] = []
        self.meters: list[HourMeter] = []
        self.evidence: dict[int, UnitEvidence] = {}
        self.faults: dict[int, Fault] = {}
        self.visits = 0

    def write(self) -> dict[type[models.Model], list[models.Model]]:
        """The whole story."""
        self._make_hull()
        introduction = 1 + 3 * len(self.engines)
        self.visits = min(layout.MOST_JOBS, max(0, (self.entries - introduction) // A_VISIT))
        spare = self.entries - introduction - A_VISIT * self.visits
        self._introduce()
        for visit in range(self.visits):
            self.at = self._start_of(visit)
            self._visit(visit, is_open=visit == self.visits - 1 and layout.has_open_job(self.hull))
            days = spare // self.visits + (visit < spare % self.visits)
            for day in range(days):
                self.at += SPAN / (self.visits * (days + 2))
                self._day(day)
        self._derive()
        return self.rows

    # --- the hull ----------------------------------------------------------------------------------------------

    def _add(self, row: models.Model) -> None:
        self.rows[type(row)].append(row)

    def _make_hull(self) -> None:
        hull, key = self.hull, self.hull + 1
        owner = layout.customer_of(hull) + 1
        self.vessel = Vessel(
            id=key, name=layout.boat_name(hull), hin=layout.hin(hull), registration=f"EX {hull:04d} GB", kind="inboard",
            maker="Corran", model=f"{22 + hull % 9} Day", model_year=2015, berth=layout.berth(hull), owner_id=owner,
            added_at=self.at, log_position=0, log_digest=GENESIS,
        )  # fmt: skip
        self._add(self.vessel)
        self._add(Ownership(id=key, vessel=self.vessel, customer_id=owner, since=self.at))
        keys = layout.engines_of(hull)
        for side, engine_key in enumerate(keys):
            position = "single" if len(keys) == 1 else ("port", "starboard")[side]
            engine = Engine(
                id=engine_key, vessel=self.vessel, position=position, family_id=1, maker="Thole", model="T6", year=2015,
                serial=layout.serial(hull, side), fuel="diesel", power=Decimal(220), rated_power_kw=Decimal("164.055"),
            )  # fmt: skip
            unit = ControlUnit(id=engine_key, vessel=self.vessel, engine=engine, address=side)
            meter = HourMeter(id=engine_key, engine=engine, fitted_at=self.at)
            self.engines, self.units = [*self.engines, engine], [*self.units, unit]
            self.meters.append(meter)
            self.evidence[engine_key] = UnitEvidence(
                {}, [], defaultdict(list), [], defaultdict(list), defaultdict(list), defaultdict(set)
            )
            for row in (engine, unit, meter):
                self._add(row)

    def _start_of(self, visit: int) -> datetime:
        return BEGINNING + timedelta(hours=self.hull % 500 + 24) + SPAN * visit / self.visits

    def _hours(self) -> Decimal:
        """The engines' hours at this moment: 150 a year."""
        return Decimal(int((self.at - BEGINNING).total_seconds() / 86_400 * 150 / 36.5)).scaleb(-1)

    # --- the log -----------------------------------------------------------------------------------------------

    def _log(
        self, kind: str, summary: str, detail: Any = None, *, side: int | None = None, job: Job | None = None,
        text: str = "", rows: list[Any] | None = None,
    ) -> LogEntry:  # fmt: skip
        """One entry, chained to the one before."""
        self.at += timedelta(minutes=7, seconds=11)
        position = self.vessel.log_position + 1
        entry = LogEntry(
            id=uuid.UUID(int=self.chance.getrandbits(128), version=4), vessel=self.vessel,
            engine=None if side is None else self.engines[side], job_id=job.pk if job else None, kind=kind,
            author_id=self.people[position % len(self.people)], happened_at=self.at,
            recorded_at=self.at + (timedelta(hours=3) if position % 10 == 0 else timedelta(seconds=20)),
            engine_hours=None if side is None else self._hours(), summary=summary, text=text, position=position,
        )  # fmt: skip
        if detail is not None:
            detail.entry = entry
            self._add(detail)
        for row in rows or []:
            for field in row._meta.concrete_fields:
                if isinstance(field, models.ForeignKey) and field.is_cached(row):
                    setattr(row, field.name, getattr(row, field.name))
            self._add(row)
        entry.digest = chain_digest(self.vessel.log_digest, entry_body(entry, detail, rows or []))
        self.vessel.log_position, self.vessel.log_digest = position, entry.digest
        self._add(entry)
        return entry

    def _words(self) -> str:
        start = self.chance.randrange(10)
        return " ".join(WORDS[start : start + self.chance.randrange(6, 20)])

    def _introduce(self) -> None:
        self._log("vessel-added", f"{self.vessel.name} was added.")
        for side, (engine, unit) in enumerate(zip(self.engines, self.units, strict=True)):
            self._log("engine-added", f"{engine} was added.", side=side)
            self._log("unit-added", f"{unit} was added.", UnitFitting(unit=unit), side=side)
            told = UnitIdentification(unit=unit, serial=f"U{unit.pk}", software="4.2.1", calibration="C7")
            self._log("unit-identified", f"{unit} says what it is.", told, side=side)

    def _day(self, day: int) -> None:
        """A day on which nothing but the usual is written down."""
        side = day % len(self.engines)
        (self._note, self._read_hours, self._measure)[day % 3](side, None)

    def _note(self, side: int, job: Job | None) -> None:
        self._log("note", "Note.", job=job, text=self._words())

    def _read_hours(self, side: int, job: Job | None) -> None:
        detail = HourReading(meter=self.meters[side], shown=self._hours())
        self._log("hours", f"Hour meter read: {self._hours()} h.", detail, side=side, job=job)

    def _measure(self, side: int, job: Job | None) -> None:
        value = Decimal(48 + self.chance.randrange(9))
        verdict = "in range" if value > 50 else "near"
        reading = Reading(
            parameter_id=self.parameter, value=value, unit="psi", value_si=to_si(value, "psi").quantize(TWELVE_PLACES),
            condition="warm, 2000 rpm", instrument="Gauge 2", low=Decimal(45), high=Decimal(70), verdict=verdict,
            near_percent=Decimal(10), limits_from="T6 card, invented",
        )  # fmt: skip
        self._log("reading", f"Oil pressure {value} psi (warm, 2000 rpm): {verdict}", reading, side=side, job=job)

    # --- a visit -----------------------------------------------------------------------------------------------

    def _visit(self, visit: int, *, is_open: bool) -> None:
        """Twelve entries: in, read, repaired, proven, out."""
        side = visit % len(self.engines)
        job = self._open_job(visit, side, is_open=is_open)
        self._log("job-opened", f"Job {job.number} was opened.", JobMove(to_state="authorized"), job=job)
        self._read_hours(side, job)
        seen = [self._fault(side, slot) for slot in dict.fromkeys((0 if visit % 2 == 0 else 1, 2 + visit % 4))]
        self._scan(side, job, "arrival", seen)
        self._measure(side, job)
        self._measure(side, job)
        self._note(side, job)
        self._work(side, job, seen[:1])
        self._clear(side, job, seen if visit % 3 else [])
        self._scan(side, job, "after-repair", [])
        self._measure(side, job)
        self._move(job, "authorized", "in-work")
        if is_open:
            self._note(side, job)
        else:
            self._move(job, "in-work", "closed")

    def _open_job(self, visit: int, side: int, *, is_open: bool) -> Job:
        key = layout.job_key(self.hull, visit)
        over = self.at + timedelta(hours=3)
        job = Job(
            id=key, number=layout.job_number(self.hull, visit), vessel=self.vessel, customer_id=self.vessel.owner_id,
            state="in-work" if is_open else "closed", state_since=over, opened_at=self.at, opened_by_id=self.people[0],
            closed_at=None if is_open else over, promised_on=(self.at + timedelta(days=9)).date(),
            spot=self.vessel.berth, keys="Board, hook 4", contents="Two life jackets, a cooler",
            technician_id=self.people[1],
        )  # fmt: skip
        line = JobLine(
            id=key, job=job, engine=self.engines[side], position=1, concern="Alarm at cruising speed, loses power",
            cause="Corroded pin", correction="" if is_open else "Pin cleaned and greased, run at the dock",
        )  # fmt: skip
        self._add(job)
        self._add(line)
        for number, (kind, words, price) in enumerate([("labor", "Fault finding", 120), ("fee", "Haul-out", 85)]):
            self._add(
                Charge(
                    id=key * 2 + number, job=job, line=line, kind=kind, description=words, unit_price=Decimal(price),
                    added_at=self.at, added_by_id=self.people[0],
                )
            )  # fmt: skip
        return job

    def _move(self, job: Job, start: str, end: str) -> None:
        self._log("job-moved", f"Job {job.number}: {end}.", JobMove(from_state=start, to_state=end), job=job)

    def _fault(self, side: int, slot: int) -> Fault:
        unit = self.units[side]
        key = layout.fault_key(unit.pk, slot)
        if key not in self.faults:
            self.faults[key] = Fault(
                id=key, vessel=self.vessel, engine=self.engines[side], unit=unit, system="spn",
                code=layout.code_of(unit.pk, slot),
            )  # fmt: skip
            self._add(self.faults[key])
        return self.faults[key]

    def _scan(self, side: int, job: Job, phase: str, seen: list[Fault]) -> None:
        unit = self.units[side]
        scan = Scan(unit=unit, phase=phase, is_complete=True, instrument="Reader 1")
        rows = [
            Sighting(
                id=next(self.children), scan=scan, fault=fault, system=fault.system, code=fault.code, status="active",
                count=1 + fault.pk % 5,
            )
            for fault in seen
        ]  # fmt: skip
        summary = f"{len(seen)} codes seen in {unit}." if seen else f"No codes in {unit}."
        entry = self._log("scan", summary, scan, side=side, job=job, rows=rows)
        known = self.evidence[unit.pk]
        known.entries[str(entry.pk)] = entry
        known.complete_scans.append(entry)
        for fault in seen:
            known.sightings[fault.pk].append((entry, CodeStatus.ACTIVE))
            known.seen_in[fault.pk].add(str(entry.pk))

    def _clear(self, side: int, job: Job, named: list[Fault]) -> None:
        unit = self.units[side]
        clear = Clear(unit=unit, everything=not named)
        rows = [
            ClearedFault(id=next(self.children), clear=clear, fault=fault, system=fault.system, code=fault.code)
            for fault in named
        ]
        what = ", ".join(fault.label for fault in named) or "all codes"
        entry = self._log("clear", f"Cleared {what} of {unit}.", clear, side=side, job=job, rows=rows)
        known = self.evidence[unit.pk]
        known.entries[str(entry.pk)] = entry
        if not named:
            known.clears_of_all.append(entry)
        for fault in named:
            known.clears[fault.pk].append(entry)

    def _work(self, side: int, job: Job, about: list[Fault]) -> None:
        work = WorkDone(line_id=job.pk)
        rows = [
            WorkOnFault(id=next(self.children), work=work, fault=fault, system=fault.system, code=fault.code)
            for fault in about
        ]
        summary = f"Work done about {', '.join(fault.label for fault in about)}."
        entry = self._log("work-done", summary, work, side=side, job=job, text=self._words(), rows=rows)
        known = self.evidence[self.units[side].pk]
        known.entries[str(entry.pk)] = entry
        for fault in about:
            known.work[fault.pk].append(entry)

    # --- the faults --------------------------------------------------------------------------------------------

    def _derive(self) -> None:
        for fault in self.faults.values():
            derived = derive(fault, self.evidence[fault.unit_id], self.hold)
            for name, value in derived.columns.items():
                setattr(fault, name, value)
            for episode in derived.episodes:
                episode.pk = fault.pk * 100 + episode.number
                self._add(episode)


def stories(
    shop: layout.Layout, hulls: Iterator[int], people: list[int], parameter: int, hold: Hold
) -> Iterator[dict[type[models.Model], list[models.Model]]]:
    """The rows of each hull in turn."""
    for hull in hulls:
        yield Story(hull, shop.entries_of(hull), people, parameter, hold).write()
