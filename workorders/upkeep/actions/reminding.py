"""An owner was reminded of service due."""

from __future__ import annotations

import uuid

from commands.envelope import command
from commands.refusals import Refused
from staff.models import Person
from staff.policy import Permission
from vessels.models import Vessel
from workorders.actions.checking import refuse_unsound
from workorders.upkeep.models import Reminder


@command("note_reminder", needs=Permission.REMIND_OWNERS, writes_to="vessel", worked_out=("told",))
def note_reminder(
    *, by: Person, vessel: Vessel, way: str, told: str, remark: str = "", entry_id: uuid.UUID | None = None
) -> Reminder:
    """Note that the owner of a boat was reminded, and of what: ``told`` is what was due then, in words.

    Raises:
        Refused: it is not said how.
    """
    if way not in dict(Reminder.WAYS):
        raise Refused("Say how.", fields={"way": "Say how the owner was reminded."})
    vessel.refresh_from_db(fields=["owner"])
    made = Reminder(vessel=vessel, customer=vessel.owner, way=way, remark=remark.strip(), told=told, by=by)
    refuse_unsound(made, ["remark"])
    made.save()
    return made
