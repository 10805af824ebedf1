"""Control units: added, identified, changed, removed."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from datetime import datetime
from decimal import Decimal
from typing import Any

from django.utils import timezone

from commands.envelope import command
from commands.refusals import Refused
from staff.models import Person
from staff.policy import Permission
from staff.queries import local_day
from vessels.actions.details import log_details_change
from vessels.hours import refuse_impossible_hours
from vessels.log.chain import JobKey, NewEntry, append, following_id
from vessels.models import ControlUnit, Engine, LogEntry, UnitFitting, UnitIdentification, Vessel
from vessels.queries import identity_at
from vessels.removing import refuse_if_seen_later
from web.versions import apply_changes


@command("add_unit", needs=Permission.EDIT_RECORDS, writes_to="vessel")
def add_unit(
    *,
    by: Person,
    vessel: Vessel,
    engine: Engine | None = None,
    name: str = "Engine control unit",
    address: int | None = None,
    code_system: str = "spn",
    serial: str = "",
    hardware: str = "",
    software: str = "",
    calibration: str = "",
    entry_id: uuid.UUID | None = None,
    happened_at: datetime | None = None,
) -> ControlUnit:
    """Add a control unit, and its first identification where one is given."""
    if not name.strip():
        raise Refused("A control unit needs a name.", fields={"name": "Enter a name, such as Engine control unit."})
    unit = ControlUnit.objects.create(
        vessel=vessel, engine=engine, name=name.strip(), address=address, code_system=code_system, changed_by=by
    )
    entry = append(
        NewEntry(
            kind="unit-added",
            vessel=vessel,
            author=by,
            engine=engine,
            summary=f"{unit} added",
            id=entry_id,
            happened_at=happened_at,
        ),
        detail=UnitFitting(unit=unit),
    )
    if any([serial, hardware, software, calibration]):
        identify_unit(
            by=by,
            unit=unit,
            serial=serial,
            hardware=hardware,
            software=software,
            calibration=calibration,
            entry_id=following_id(entry_id, "identified"),
            happened_at=entry.happened_at,
        )
    return unit


@command("identify_unit", needs=Permission.EDIT_RECORDS, writes_to="unit.vessel")
def identify_unit(
    *,
    by: Person,
    unit: ControlUnit,
    serial: str = "",
    hardware: str = "",
    software: str = "",
    calibration: str = "",
    job_id: JobKey | None = None,
    engine_hours: Decimal | None = None,
    text: str = "",
    entry_id: uuid.UUID | None = None,
    happened_at: datetime | None = None,
) -> LogEntry:
    """Log what a control unit says it is. What is left empty was not read; earlier identifications stay."""
    told = {"serial": serial, "hardware": hardware, "software": software, "calibration": calibration}
    told = {name: value.strip() for name, value in told.items()}
    if not any(told.values()):
        sentence = "Enter at least one of serial, hardware, software and calibration."
        raise Refused(sentence, fields={"serial": sentence})
    refuse_impossible_hours(unit.engine, engine_hours, happened_at)
    known = identity_at(unit, happened_at or timezone.now())
    compared = {name: getattr(known, name) for name, value in told.items() if value and getattr(known, name)}
    differing = [name for name, before in compared.items() if told[name] != before]
    what = "identified"
    if differing:
        what = f"identified: {', '.join(differing)} changed"
    elif compared:
        what = f"identified: {', '.join(compared)} unchanged"
    return append(
        NewEntry(
            kind="unit-identified",
            vessel=unit.vessel,
            author=by,
            engine=unit.engine,
            job_id=job_id,
            engine_hours=engine_hours,
            summary=f"{unit} {what}",
            text=text,
            id=entry_id,
            happened_at=happened_at,
        ),
        detail=UnitIdentification(unit=unit, **told),
    )


@command("change_unit", needs=Permission.EDIT_RECORDS, writes_to="unit.vessel")
def change_unit(
    *,
    by: Person,
    unit: ControlUnit,
    seen_version: int,
    changes: Mapping[str, Any],
    entry_id: uuid.UUID | None = None,
    happened_at: datetime | None = None,
) -> ControlUnit:
    """Change a unit's name, address or kind of codes.

    Raises:
        Conflict: somebody else saved in the meantime.
    """
    changed = apply_changes(unit, seen_version=seen_version, changes=changes, by=by)
    log_details_change(
        by=by,
        vessel=unit.vessel,
        record=unit,
        subject=str(unit),
        changed=changed,
        engine=unit.engine,
        entry_id=entry_id,
        happened_at=happened_at,
    )
    return unit


@command("remove_unit", needs=Permission.EDIT_RECORDS, writes_to="unit.vessel")
def remove_unit(
    *,
    by: Person,
    unit: ControlUnit,
    text: str = "",
    entry_id: uuid.UUID | None = None,
    happened_at: datetime | None = None,
) -> ControlUnit:
    """Remove a control unit. Its history stays in the log."""
    unit.refresh_from_db()
    if unit.removed_on is not None:
        raise Refused("This unit was already removed.")
    refuse_if_seen_later("this unit", happened_at, units=[unit])
    entry = append(
        NewEntry(
            kind="unit-removed",
            vessel=unit.vessel,
            author=by,
            engine=unit.engine,
            summary=f"{unit} removed",
            text=text,
            id=entry_id,
            happened_at=happened_at,
        ),
        detail=UnitFitting(unit=unit),
    )
    unit.removed_on, unit.changed_by = local_day(entry.happened_at), by
    unit.version += 1
    unit.save(update_fields=["removed_on", "changed_by", "version"])
    return unit
