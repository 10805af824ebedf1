"""What one entry names belongs together: one boat's engine, one boat's job, and an entry of it that may be amended.

``vessels.log.chain.append`` asks this of every entry, whichever action adds it, with the boat's turn to write taken: so
no door leads past it, and two corrections of one entry cannot both come first.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from commands.refusals import Refused
from vessels.log.evidence import NOTE, RETRACTION, is_effective, replaces
from vessels.models import LogEntry

if TYPE_CHECKING:
    from vessels.models import Engine, Vessel

STRANGE_ENGINE = "This engine is in another boat."
NOT_OF_ITS_KIND = "Only an entry of the same kind on the same boat can be corrected this way."
NO_LONGER_COUNTS = "This entry was already voided or corrected."


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
    if replaces(kind, amends.kind) and not is_effective(amends):
        raise Refused(NO_LONGER_COUNTS)


def _refuse_strange_job(vessel: Vessel, job_id: int) -> None:
    """Jobs are of a floor above: the log knows their table by its own column alone."""
    jobs = LogEntry._meta.get_field("job").related_model
    known = jobs._default_manager.filter(pk=job_id).values_list("number", "vessel_id").first()
    if known is not None and known[1] != vessel.pk:
        raise Refused(f"Job {known[0]} is for another boat.")
