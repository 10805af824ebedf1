"""The shop's bays: added, renamed, ended."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from typing import Any

from django.utils import timezone

from commands.envelope import command, tell
from commands.refusals import Refused
from staff.models import Person
from staff.policy import Permission
from web.versions import apply_changes
from workorders.actions.checking import refuse_unsound
from workorders.appointments.models import Bay

CHANGEABLE = ("name", "note", "position")


@command("add_bay", needs=Permission.EDIT_BAYS)
def add_bay(*, by: Person, name: str, note: str = "", position: int = 0, entry_id: uuid.UUID | None = None) -> Bay:
    """Add a bay.

    Raises:
        Refused: it has no name, or another bay in use has it.
    """
    made = Bay(name=name.strip(), note=note.strip(), position=position, added_by=by, changed_by=by)
    _refuse_odd(made)
    made.save()
    return made


@command("change_bay", needs=Permission.EDIT_BAYS, writes_to="bay")
def change_bay(
    *, by: Person, bay: Bay, seen_version: int, changes: Mapping[str, Any], entry_id: uuid.UUID | None = None
) -> Bay:
    """Change a bay's name, note or place among the others.

    Raises:
        Conflict: somebody else saved in the meantime.
        Refused: it is no longer used, or as for a new one.
        ValueError: a field is not to be changed here.
    """
    if strange := set(changes) - set(CHANGEABLE):
        raise ValueError(f"not to be changed here: {', '.join(sorted(strange))}")
    stored = Bay.objects.get(pk=bay.pk)
    if stored.ended_at is not None:
        raise Refused("This bay is no longer used. Add it again.")
    wanted = {name: value.strip() if isinstance(value, str) else value for name, value in changes.items()}
    for name, value in wanted.items():
        setattr(stored, name, value)
    _refuse_odd(stored)
    apply_changes(bay, seen_version=seen_version, changes=wanted, by=by)
    return bay


@command("end_bay", needs=Permission.EDIT_BAYS, writes_to="bay")
def end_bay(*, by: Person, bay: Bay, entry_id: uuid.UUID | None = None) -> Bay:
    """A bay is no longer used; what was planned in it stays as it is. Who ends it second changes nothing."""
    stored = Bay.objects.get(pk=bay.pk)
    if stored.ended_at is None:
        stored.ended_at, stored.ended_by, stored.changed_by = timezone.now(), by, by
        stored.version += 1
        stored.save(update_fields=["ended_at", "ended_by", "changed_by", "version"])
        tell(ended_at=[None, stored.ended_at.isoformat()])
    bay.refresh_from_db()
    return bay


def _refuse_odd(bay: Bay) -> None:
    if not bay.name:
        raise Refused("Enter a name.", fields={"name": "Enter a name, such as “Lift” or “Bay 2”."})
    refuse_unsound(bay, CHANGEABLE)
    if Bay.objects.filter(name__iexact=bay.name, ended_at=None).exclude(pk=bay.pk).exists():
        sentence = "Another bay has this name already."
        raise Refused(sentence, fields={"name": sentence})
