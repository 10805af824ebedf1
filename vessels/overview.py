"""The overview's own sections: who and what the boat is, its engines, and the end of its log."""

from __future__ import annotations

from calendar import month_name
from typing import Any

from django.http import HttpRequest
from django.utils import timezone

from engineering.hin import Hin, check_hin, other_model_year
from vessels.log.entries import of_vessel, shown_entries
from vessels.models import Vessel
from vessels.queries.engines import units_with_identity
from vessels.queries.lists import engines_with_hours, owners_of
from vessels.sections import register

RECENT = 6


def register_sections() -> None:
    """Make them known."""
    register("vessels/sections/identity.html", identity, 10)
    register("vessels/sections/engines.html", engines, 20)
    register("vessels/sections/log.html", recent_log, 90)


def identity(request: HttpRequest, vessel: Vessel) -> dict[str, Any]:
    """What the boat is, what its HIN says, and who owned it."""
    check = check_hin(vessel.hin, today=timezone.localdate()) if vessel.hin else None
    other_year = other_model_year(check.hin, vessel.model_year) if check and check.hin else ""
    return {
        "hin_words": _hin_words(check.hin) if check and check.hin else "",
        "hin_problems": (*(check.problems if check else ()), *([other_year] if other_year else [])),
        "hin_notes": check.notes if check else (),
        "owners": list(owners_of(vessel)),
    }


def engines(request: HttpRequest, vessel: Vessel) -> dict[str, Any]:
    """The engines with their hours, and the control units."""
    return {
        "engines": engines_with_hours(vessel),
        "units": list(units_with_identity(vessel).filter(removed_on=None)),
    }


def recent_log(request: HttpRequest, vessel: Vessel) -> dict[str, Any]:
    """The last entries of the log."""
    return {"entries": shown_entries(of_vessel(vessel), most=RECENT)}


def _hin_words(hin: Hin) -> str:
    """What a HIN says, as a sentence."""
    model = f", model year {hin.model_year}" if hin.model_year else ""
    country = f", country {hin.country}" if hin.country else ""
    return (
        f"Builder’s code {hin.manufacturer_code}, hull {hin.serial}, certified {month_name[hin.certified_month]} "
        f"{hin.certified_year}{model}{country}."
    )
