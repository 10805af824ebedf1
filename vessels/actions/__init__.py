"""Everything that a person does with customers, vessels, engines, units, hour meters and the log."""

from vessels.actions.customers import add_customer, change_customer
from vessels.actions.engines import add_engine, change_engine, family_named, remove_engine
from vessels.actions.hulls import add_vessel, change_owner, change_vessel
from vessels.actions.log import amend_text, retract, write_note
from vessels.actions.meters import log_hours, replace_meter
from vessels.actions.units import add_unit, change_unit, identify_unit, remove_unit

__all__ = [
    "add_customer",
    "add_engine",
    "add_unit",
    "add_vessel",
    "amend_text",
    "change_customer",
    "change_engine",
    "change_owner",
    "change_unit",
    "change_vessel",
    "family_named",
    "identify_unit",
    "log_hours",
    "remove_engine",
    "remove_unit",
    "replace_meter",
    "retract",
    "write_note",
]
