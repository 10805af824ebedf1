"""One visit of the scenario, from the counter to where the job stands."""

from __future__ import annotations

from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any, Literal

from django.utils import timezone

from engineering.codes import CodeStatus, CodeSystem, make_code, read_text
from findings.faults.actions import CodeSeen, clear_codes, log_scan, log_work
from findings.faults.models import Fault
from findings.readings.actions import log_reading
from findings.readings.models import Parameter
from shopfloor.demo.also import look_around, set_and_set_back
from shopfloor.demo.dock_run import log_dock_run
from shopfloor.demo.fitting import await_parts, charge_parts, fit_parts, take_delivery
from shopfloor.demo.hours import charge_labor, clock_trial, clock_work, has_clocks, is_charged_by_the_clock
from shopfloor.demo.later_entries import add_later_entries
from shopfloor.demo.promising import ask_again, is_promised, promise
from shopfloor.demo.shop import CARDS, PROFILE
from shopfloor.demo.visit_day import VisitDay
from shopfloor.demo.visits import Codes
from vessels.actions import log_hours, replace_meter
from workorders.actions import add_charge, change_line, move_job, open_job
from workorders.states import JobState

AGREED = {
    "to look": "By phone: find the cause and call before any repair.",
    "to repair": "By phone: find the cause and repair it up to $1,500; call before it is more.",
    "to do": "By phone: do it as asked; call before anything else.",
}
AT_THE_COUNTER = {"authorized", "closed", "canceled", "waiting-customer"}


class PlayedVisit(VisitDay):
    """A visit as it is played."""

    def play(self) -> None:
        """From the counter to where the job stands today."""
        visit = self.visit
        at = self.clock.turn(self.clock.at(visit.days_ago, "08:10"))
        self.job = open_job(
            by=self.stage.desk,
            vessel=self.vessel,
            concerns=[(visit.concern, self.rig.engine if visit.is_of_one_engine else None)],
            location=self.boat.location,
            spot=self.boat.berth,
            keys=visit.keys or "Key board",
            contents=visit.contents,
            condition=visit.condition,
            promised_on=self.promised_on(at.date()),
            technician=self.tech,
            entry_id=self.named("open"),
            happened_at=at,
        )
        if visit.key:
            self.stage.jobs[visit.key] = self.job
        way = self.way
        promise(self)
        for state, minutes in zip(way[:2], (25, 70), strict=False):
            self.move(state, at + timedelta(minutes=minutes))
        if "in-work" in way:
            self.work()
        if has_clocks(self):
            clock_work(self)
        self.charge()
        if "in-work" in way:
            self.sea_trial()
            self.say("correction")
        if has_clocks(self):
            clock_trial(self)
        if is_charged_by_the_clock(self):
            charge_labor(self)
        await_parts(self)
        ask_again(self)
        self.finish(way[2:])
        take_delivery(self)
        add_later_entries(self)

    def move(self, state: str, at: datetime) -> None:
        """Move the job on."""
        self.clock.turn(at)
        self.job.refresh_from_db()
        move_job(
            by=self.stage.desk if state in AT_THE_COUNTER else self.tech,
            job=self.job,
            to=JobState(state),
            seen_version=self.job.version,
            reason=self._reason(state),
            entry_id=self.named("move", state),
            happened_at=at,
        )

    def _reason(self, state: str) -> str:
        """What is said of a move: why it waits or ends, and what was agreed to where nothing was priced before."""
        if state == "authorized":
            return "" if is_promised(self) else AGREED[self._agreed()]
        return self.visit.reason if state.startswith("waiting") or state == "canceled" else ""

    def _agreed(self) -> str:
        """What the customer agreed to: what was done then was agreed to before."""
        if self.visit.work:
            return "to repair"
        return "to do" if self.visit.correction else "to look"

    def work(self) -> None:
        """What the technician did: hours, scans, readings, cause, work, clear, proof."""
        visit, start = self.visit, self.clock.at(self.visit.days_ago, "09:40")
        self.clock.turn(start)
        log_hours(
            by=self.tech,
            engine=self.rig.engine,
            shown=self.hours - self.rig.meter_offset,
            job_id=self.job.pk,
            happened_at=start,
            entry_id=self.named("hours"),
        )
        self.scan("arrival", visit.arrival, start + timedelta(minutes=12))
        if visit.key == "pasted":
            self.dock_run(start + timedelta(minutes=22))
        self.readings("arrival", start + timedelta(minutes=35))
        if visit.key == "meter":
            self.new_meter(start + timedelta(hours=1))
        look_around(self, start + timedelta(hours=1, minutes=20))
        self.clock.turn(start + timedelta(hours=2))
        self.say("cause")
        fit_parts(self, start + timedelta(hours=2, minutes=40))
        self.repair(start + timedelta(hours=3))
        set_and_set_back(self, start + timedelta(hours=3, minutes=25))
        self.hours += Decimal("0.2")
        self.scan("after-repair", visit.after, start + timedelta(hours=3, minutes=40))
        self.readings("after-repair", start + timedelta(hours=4))

    def dock_run(self, at: datetime) -> None:
        """The network is recorded for half a minute at idle, and the log brought to the job."""
        self.clock.turn(at + timedelta(minutes=6))
        log_dock_run(
            by=self.tech,
            job=self.job,
            port=self.rig,
            starboard=self.stage.rigs[(self.visit.boat, "starboard")],
            days_ago=self.visit.days_ago,
            at=at,
            entry_id=self.named("can-log"),
        )

    def new_meter(self, at: datetime) -> None:
        """The hour meter is replaced; the engine's true hours go on."""
        self.clock.turn(at)
        replace_meter(
            by=self.tech,
            engine=self.rig.engine,
            old_shown=self.hours,
            new_shown=Decimal(0),
            job_id=self.job.pk,
            happened_at=at,
            text="Old meter kept with the boat's papers.",
            entry_id=self.named("meter"),
        )
        self.rig.meter_offset = self.hours

    def say(self, what: Literal["cause", "correction"]) -> None:
        """Cause or correction on the job's line: the one once it is found, the other once it is done and proven."""
        text = getattr(self.visit, what)
        if not text:
            return
        at = self.clock.turn(self.clock.now() + timedelta(minutes=5))
        changes: dict[str, Any] = {what: text}
        if what == "correction":
            changes |= {"done_by": [self.tech], "done_on": timezone.localdate(at)}
        line = self.job.lines.get()
        change_line(
            by=self.tech,
            line=line,
            seen_version=line.version,
            changes=changes,
            happened_at=at,
            entry_id=self.named("line", what),
        )

    def repair(self, at: datetime) -> None:
        """The work about the faults found, and the clear."""
        visit = self.visit
        codes = visit.about or [code for code, _, _ in visit.arrival or ()]
        about = list(Fault.objects.filter(unit=self.rig.unit, code__in=codes))
        if visit.work and about:
            self.clock.turn(at)
            log_work(
                by=self.tech,
                vessel=self.vessel,
                faults=about,
                text=visit.work,
                job=self.job,
                line=self.job.lines.get(),
                engine=self.rig.engine,
                engine_hours=self.hours,
                happened_at=at,
                entry_id=self.named("work"),
            )
        if visit.clears:
            self.clock.turn(at + timedelta(minutes=20))
            clear_codes(
                by=self.tech,
                unit=self.rig.unit,
                job=self.job,
                engine_hours=self.hours,
                happened_at=self.clock.now(),
                entry_id=self.named("clear"),
            )

    def scan(self, phase: str, codes: Codes | None, at: datetime) -> None:
        """One complete scan of the engine's unit, if there was one."""
        if codes is None:
            return
        visit, system = self.visit, CodeSystem(self.rig.motor.codes)
        raw = visit.pasted if phase == "arrival" else ""
        # A tablet without Wi-Fi sends the comeback's arrival scan in the evening.
        is_late = visit.key == "comeback" and phase == "arrival"
        self.clock.turn(at + timedelta(hours=7) if is_late else at)
        log_scan(
            by=self.tech,
            unit=self.rig.unit,
            phase=phase,
            is_complete=True,
            codes=[CodeSeen(make_code(system, code), CodeStatus(status), count) for code, status, count in codes],
            job=self.job,
            engine_hours=self.hours,
            instrument="Bench reader",
            raw=raw,
            source="paste" if raw else "touch",
            not_understood=len(read_text(raw, preferred=system).not_understood_lines) if raw else 0,
            happened_at=at,
            entry_id=self.named("scan", phase),
        )

    def readings(self, phase: str, at: datetime) -> None:
        """The readings of one phase, a few minutes apart."""
        for index, (name, value, condition, when) in enumerate(self.visit.readings):
            if when != phase:
                continue
            self.clock.turn(at + timedelta(minutes=4 * index))
            unit = self.unit_of(name, condition)
            instrument = self.stage.instruments.get({"kPa": "gauges", "psi": "gauges", "V": "meter"}.get(unit, ""))
            log_reading(
                by=self.tech,
                vessel=self.vessel,
                engine=self.rig.engine,
                parameter=Parameter.objects.get(name=name),
                value=Decimal(value),
                unit=unit,
                condition=condition,
                instrument="" if instrument else "Panel gauge",
                registered=instrument,
                phase=phase,
                job=self.job,
                engine_hours=self.hours,
                happened_at=self.clock.now(),
                entry_id=self.named("reading", index),
            )

    def unit_of(self, name: str, condition: str) -> str:
        """The unit of the spec card, or volts for what no card lists."""
        rows = CARDS[self.rig.motor.family]
        return next((row[5] for row in rows if (row[0], row[1]) == (name, condition)), "V")

    def charge(self) -> None:
        """Labor and parts on the job."""
        line = self.job.lines.get()
        done = charge_parts(self)
        for what, quantity in self.visit.charges:
            if what in done or (what == "labor" and is_charged_by_the_clock(self)):
                continue
            part = None if what == "labor" else self.stage.parts[what]
            add_charge(
                by=self.stage.desk,
                job=self.job,
                line=line,
                kind="part" if part else "labor",
                description=part.description if part else "Labor",
                quantity=Decimal(quantity),
                unit_price=part.unit_price if part else Decimal(str(PROFILE["labor_rate"])),
                taxable=part is not None,
                part=part,
            )

    def sea_trial(self) -> None:
        """Under way in the afternoon, if there was a trial."""
        evening = self.clock.at(self.visit.days_ago, "15:10")
        self.hours += Decimal("0.9")
        if self.visit.trial is not None and self.visit.ends in {"closed", "ready", "sea-trial"}:
            self.move("sea-trial", evening)
        self.scan("sea-trial", self.visit.trial, evening + timedelta(minutes=50))
        self.readings("sea-trial", evening + timedelta(minutes=60))

    def finish(self, way: tuple[str, ...]) -> None:
        """The last moves, on the last day of the visit."""
        last_day = max(self.visit.days_ago - self.visit.days, 0)
        for state, clock in zip(way, ("11:30", "16:20"), strict=False):
            if self.job_state() == state:
                continue
            moment = self.clock.at(last_day, clock) if "closed" in way else self.clock.at(self.visit.days_ago, "17:20")
            self.move(state, max(moment, self.clock.now() + timedelta(minutes=20)))

    def job_state(self) -> str:
        """Where the job stands now."""
        self.job.refresh_from_db()
        return self.job.state
