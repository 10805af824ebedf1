"""What the log shows of this floor's commonest kinds of entry: the question for it, and its markup."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django.utils.safestring import SafeString

from vessels.models import ControlUnit
from vessels.models.hulls import unit_words
from vessels.wording import day_words
from web.addresses import address_of
from web.markup import NOTHING, each_filled, filled

_CODE_SYSTEMS = dict(ControlUnit.CODES)

HOURS = """
    SELECT reading.entry_id, json_build_object(
        'shown', reading.shown, 'fitted_at', meter.fitted_at,
        'goes_on', meter.shown_when_fitted IS DISTINCT FROM meter.engine_hours_when_fitted)::text AS facts
    FROM vessels_hourreading reading JOIN vessels_hourmeter meter ON meter.id = reading.meter_id
    WHERE reading.entry_id = ANY(%(keys)s)
"""
UNIT_FITTING = """
    SELECT fitting.entry_id, json_build_object(
        'unit', unit.id, 'name', unit.name, 'position', engine.position, 'codes', unit.code_system,
        'address', unit.address)::text AS facts
    FROM vessels_unitfitting fitting JOIN vessels_controlunit unit ON unit.id = fitting.unit_id
    LEFT JOIN vessels_engine engine ON engine.id = unit.engine_id
    WHERE fitting.entry_id = ANY(%(keys)s)
"""
UNIT_IDENTIFICATION = """
    SELECT told.entry_id, json_build_object(
        'unit', unit.id, 'name', unit.name, 'position', engine.position, 'serial', told.serial,
        'hardware', told.hardware, 'software', told.software, 'calibration', told.calibration)::text AS facts
    FROM vessels_unitidentification told JOIN vessels_controlunit unit ON unit.id = told.unit_id
    LEFT JOIN vessels_engine engine ON engine.id = unit.engine_id
    WHERE told.entry_id = ANY(%(keys)s)
"""


def hours_read(facts: dict[str, Any]) -> SafeString:
    """A reading of a meter: something is said only where the meter is not the engine's first."""
    if not facts["goes_on"]:
        return NOTHING
    fitted = day_words(datetime.fromisoformat(facts["fitted_at"]))
    return filled('<p class="small soft">Not the engine’s first meter: fitted {}.</p>', fitted)


def unit_fitted(facts: dict[str, Any]) -> SafeString:
    """A control unit put in or removed."""
    return filled(
        '<p class="small">{} · {}{}</p>',
        _unit_link(facts),
        _CODE_SYSTEMS.get(facts["codes"], facts["codes"]),
        "" if facts["address"] is None else f" · address {facts['address']}",
    )


def unit_identified(facts: dict[str, Any]) -> SafeString:
    """What a control unit said that it was."""
    told = [(name, facts[name]) for name in ("serial", "hardware", "software", "calibration") if facts[name]]
    said = each_filled(' · {} <span class="code">{}</span>', told)
    return filled('<p class="small">{}{}</p>', _unit_link(facts), said)


def _unit_link(facts: dict[str, Any]) -> SafeString:
    words = unit_words(facts["name"], facts["position"])
    return filled('<a href="{}">{}</a>', address_of("vessels:unit", facts["unit"]), words)
