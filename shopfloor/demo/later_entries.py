"""What a log gets after the work: a note, a correction, something voided, a unit that was reprogrammed."""

from __future__ import annotations

from datetime import datetime, timedelta
from decimal import Decimal

from findings.readings.actions import log_reading
from findings.readings.models import Parameter
from shopfloor.demo.visit_day import VisitDay
from vessels.actions import amend_text, identify_unit, retract, write_note


def add_later_entries(day: VisitDay) -> None:
    """The human side of a log: a note, a correction, something voided, a unit that was reprogrammed."""
    later = day.clock.now() + timedelta(minutes=15)
    if day.visit.key == "exchanger":
        _note(day, later)
    if day.visit.key == "creep":
        _slip(day, later)


def _note(day: VisitDay, at: datetime) -> None:
    """A note, its correction an hour later, and the unit's new identification."""
    day.clock.turn(at)
    note = write_note(
        by=day.tech,
        vessel=day.vessel,
        engine=day.rig.engine,
        job_id=day.job.pk,
        happened_at=at,
        text="Core passages were two thirds closed. Asked the owner to flush with fresh water after each trip.",
        entry_id=day.named("note"),
    )
    day.clock.turn(at + timedelta(hours=1))
    amend_text(
        by=day.tech,
        entry=note,
        text="Passages were about half closed; I had looked at the inlet side only.",
        entry_id=day.named("note", "amended"),
    )
    identify_unit(
        by=day.tech,
        unit=day.rig.unit,
        serial=f"U{day.rig.motor.serial[-5:]}",
        hardware="H2",
        software="3.10",
        calibration="C417B",
        job_id=day.job.pk,
        happened_at=day.clock.now(),
        text="Updated at the maker's agent.",
        entry_id=day.named("unit", "updated"),
    )


def _slip(day: VisitDay, at: datetime) -> None:
    """A reading typed wrong, and voided."""
    day.clock.turn(at)
    wrong = log_reading(
        by=day.tech,
        vessel=day.vessel,
        engine=day.rig.engine,
        parameter=Parameter.objects.get(name="Fuel pressure"),
        value=Decimal(389),
        unit="psi",
        condition="idle, 650 rpm",
        job=day.job,
        phase="arrival",
        engine_hours=day.hours,
        happened_at=at,
        entry_id=day.named("slip"),
    )
    day.clock.turn(at + timedelta(minutes=6))
    retract(
        by=day.tech,
        entry=wrong.entry,
        reason="Typed without the decimal point.",
        entry_id=day.named("slip", "back"),
    )
