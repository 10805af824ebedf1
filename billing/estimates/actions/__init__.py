"""What is done with estimates and kits."""

from billing.estimates.actions.charging import charge_estimate
from billing.estimates.actions.drafting import (
    add_estimate_option,
    change_estimate_option,
    change_estimate_terms,
    discard_estimate,
    remove_estimate_option,
    start_estimate,
)
from billing.estimates.actions.filling import fill_estimate
from billing.estimates.actions.giving import give_estimate
from billing.estimates.actions.kits import add_kit, add_kit_line, change_kit, change_kit_line, remove_kit_line
from billing.estimates.actions.lines import add_estimate_line, change_estimate_line, remove_estimate_line

__all__ = [
    "add_estimate_line",
    "add_estimate_option",
    "add_kit",
    "add_kit_line",
    "change_estimate_line",
    "change_estimate_option",
    "change_estimate_terms",
    "change_kit",
    "change_kit_line",
    "charge_estimate",
    "discard_estimate",
    "fill_estimate",
    "give_estimate",
    "remove_estimate_line",
    "remove_estimate_option",
    "remove_kit_line",
    "start_estimate",
]
