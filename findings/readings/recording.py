"""Logging a sheet: every filled cell, all or none."""

from __future__ import annotations

import uuid
from typing import Any

from commands.envelope import together
from commands.refusals import Refused
from engineering.measures import UNITS
from findings.instruments.forms import instrument_of
from findings.readings.actions import add_parameter, log_reading
from findings.readings.cells import CellForm
from findings.readings.models import Reading
from findings.readings.sheet import Sheet
from staff.models import Person
from vessels.models import Engine
from vessels.shown_hours import true_hours
from web.submission import show_refusal
from workorders.models import Job


@together()
def log_sheet(by: Person, job: Job, sheet: Sheet) -> list[Reading]:
    """Log every filled cell, all or none. Each has an id derived from the form's, so that a repeat is known."""
    common = sheet.common.cleaned_data
    form_id = common["entry_id"] or uuid.uuid4()
    shared: dict[str, Any] = {
        "by": by,
        "vessel": job.vessel,
        "job": job,
        "phase": common["phase"],
        **instrument_of(common),
        "happened_at": common["happened_at"],
        "text": common["text"],
    }
    hours = {engine: _hours_of(sheet, engine) for engine in [sheet.layout.engine, *sheet.layout.beside]}
    logged = []
    for cell in sheet.cells:
        if cell.was_filled:
            sheet.logging, data, engine = cell, cell.cleaned_data, cell.column.engine
            made = log_reading(
                **shared,
                engine=engine,
                engine_hours=hours[engine],
                parameter=cell.line.parameter,
                limit=cell.limit,
                condition=cell.condition,
                value=data["number"],
                unit=data["unit"],
                minimum=data["low_seen"],
                maximum=data["high_seen"],
                entry_id=uuid.uuid5(form_id, cell.prefix or ""),
            )
            logged.append(made)
    sheet.logging = sheet.other
    main = {"engine": sheet.layout.engine, "engine_hours": hours[sheet.layout.engine]}
    return logged + _log_other(form_id, sheet.other.cleaned_data, shared | main)


def _meter(sheet: Sheet, engine: Engine | None) -> str:
    """The field that has what an engine's meter shows."""
    return "hours" if engine == sheet.layout.engine else f"hours-{engine.pk if engine else ''}"


def _hours_of(sheet: Sheet, engine: Engine | None) -> Any:
    common, name = sheet.common.cleaned_data, _meter(sheet, engine)
    try:
        return true_hours(engine, common.get(name), common["happened_at"])
    except Refused as refusal:
        raise Refused(refusal.sentence, fields={name: refusal.fields.get("hours", refusal.sentence)}) from refusal


def _log_other(form_id: uuid.UUID, data: dict[str, Any], shared: dict[str, Any]) -> list[Reading]:
    """Log the reading that no card lists, if one was filled in."""
    if data.get("number") is None:
        return []
    parameter = data["parameter"] or add_parameter(
        by=shared["by"],
        name=data["parameter_name"],
        kind=UNITS[data["unit"]].kind.value,
        entry_id=uuid.uuid5(form_id, "parameter"),
    )
    made = log_reading(
        **shared,
        parameter=parameter,
        value=data["number"],
        unit=data["unit"],
        condition=data["condition"],
        minimum=data["low_seen"],
        maximum=data["high_seen"],
        entry_id=uuid.uuid5(form_id, "other"),
    )
    return [made]


def show_in_sheet(refusal: Refused, sheet: Sheet) -> None:
    """Put a refusal where the person can act on it: in the cell that was being logged, or in what all cells share."""
    form = sheet.logging
    if form is None or not set(refusal.fields) & set(form.fields):
        show_refusal(sheet.common, _beside_its_meter(refusal, sheet))
    else:
        show_refusal(form, refusal)


def _beside_its_meter(refusal: Refused, sheet: Sheet) -> Refused:
    """What was refused of the hours of an engine beside the first one belongs beside that engine's meter."""
    form = sheet.logging
    name = _meter(sheet, form.column.engine) if isinstance(form, CellForm) else "hours"
    if name == "hours" or "hours" not in refusal.fields:
        return refusal
    fields = {name if key == "hours" else key: sentence for key, sentence in refusal.fields.items()}
    return Refused(refusal.sentence, fields=fields)
