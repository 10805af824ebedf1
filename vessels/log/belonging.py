"""What one entry names belongs together: one boat's engine, one boat's job, and an entry of it that may be amended.

``vessels.log.chain.append`` asks this of every entry, whichever action adds it, with the boat's turn to write taken: so
no door leads past it, and two corrections of one entry cannot both come first.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any

from django.db import models

from commands.hooks import check_with
from commands.refusals import NOTHING_DIFFERS, Refused
from vessels.log.afterwards import afterwards_of_entry
from vessels.log.evidence import NOTE, RETRACTION, replaces
from vessels.models import ControlUnit, LogEntry, Vessel
from vessels.models import Engine as EngineRow

if TYPE_CHECKING:
    from vessels.models import Engine

STRANGE_ENGINE = "This engine is in another boat."
NOT_OF_ITS_KIND = "Only an entry of the same kind on the same boat can be corrected this way."
STRANGE_UNIT = "This control unit is in another boat."


Stranger = tuple[Callable[[Any], int | None], Callable[[Any], Refused]]
_of_boats: dict[type[models.Model], Stranger] = {}


def of_a_boat(
    model: type[models.Model], *, vessel: Callable[[Any], int | None], refused: Callable[[Any], Refused]
) -> None:
    """Make a kind of record known that is of one boat: ``vessel`` gives the boat's key, ``refused`` what is said."""
    _of_boats[model] = (vessel, refused)


def refuse_other_boats(held: models.Model, given: Mapping[str, Any]) -> None:
    """Refuse an act on one boat that names what is of another: asked of every act before it is done.

    Raises:
        Refused: with what is said of the first stranger.
    """
    if not isinstance(held, Vessel):
        return
    for value in given.values():
        for one in value if isinstance(value, list | tuple) else [value]:
            known = _of_boats.get(type(one))
            if known is not None and known[0](one) not in {None, held.pk}:
                raise known[1](one)


of_a_boat(
    EngineRow,
    vessel=lambda engine: engine.vessel_id,
    refused=lambda _: Refused(STRANGE_ENGINE, fields={"engine": "Choose an engine of this boat."}),
)
of_a_boat(
    ControlUnit,
    vessel=lambda unit: unit.vessel_id,
    refused=lambda _: Refused(STRANGE_UNIT, fields={"unit": "Choose a unit of this boat."}),
)
of_a_boat(LogEntry, vessel=lambda entry: entry.vessel_id, refused=lambda _: Refused(NOT_OF_ITS_KIND))
check_with(refuse_other_boats)


def refuse_strangers(
    vessel: Vessel, *, kind: str, engine: Engine | None, job_id: int | None, amends: LogEntry | None
) -> None:
    """Refuse an entry that names what is not of its boat, or amends what it cannot.

    Raises:
        Refused: the engine or the job is of another boat, the amended entry is of another boat or kind, or it was
            replaced or voided before.
    """
    if engine is not None and engine.vessel_id != vessel.pk:
        raise Refused(STRANGE_ENGINE, fields={"engine": "Choose an engine of this boat."})
    if job_id is not None:
        _refuse_strange_job(vessel, job_id)
    if amends is not None:
        refuse_amending(amends, vessel=vessel, kind=kind)


def refuse_amending(amends: LogEntry, *, vessel: Vessel, kind: str) -> None:
    """Refuse that an entry of this kind amends that one."""
    if amends.vessel_id != vessel.pk or kind not in {amends.kind, NOTE, RETRACTION}:
        raise Refused(NOT_OF_ITS_KIND)
    if replaces(kind, amends.kind):
        refuse_what_no_longer_counts(amends, may_be_logged_again=kind != RETRACTION)


def refuse_what_no_longer_counts(entry: LogEntry, *, may_be_logged_again: bool = False) -> None:
    """Refuse to correct or void an entry that was voided or replaced before: which of the two, by whom and when.

    One whose correction was voided can be logged again, in its own place, once: then something stands there.
    """
    told = afterwards_of_entry(entry)
    if told.replaced is None or (may_be_logged_again and told.can_be_corrected):
        return
    raise Refused(f"This entry was already {told.replaced.words}.")


def refuse_same_again(amends: LogEntry, *, is_same: bool) -> None:
    """Refuse a correction that says what stands there already; what no longer counts may be logged again as it was."""
    if is_same and afterwards_of_entry(amends).replaced is None:
        raise Refused(NOTHING_DIFFERS)


def _refuse_strange_job(vessel: Vessel, job_id: int) -> None:
    """Jobs are of a floor above: the log knows their table by its own column alone."""
    jobs = LogEntry._meta.get_field("job").related_model
    known = jobs._default_manager.filter(pk=job_id).values_list("number", "vessel_id").first()
    if known is not None and known[1] != vessel.pk:
        raise Refused(f"Job {known[0]} is for another boat.")
