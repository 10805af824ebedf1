"""The shop's kits."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from typing import Any

from django.db.models import Max

from billing.estimates.lines import FIELDS, put
from billing.estimates.models import Kit, KitLine
from commands.envelope import command
from commands.refusals import Refused
from staff.models import Person
from staff.policy import Permission
from staff.queries import shop_profile
from web.versions import apply_changes
from workorders.actions.checking import refuse_unsound

MOST_LINES = 60
CHANGEABLE = ("name", "note", "is_sold")


@command("add_kit", needs=Permission.EDIT_PARTS)
def add_kit(*, by: Person, name: str, note: str = "", entry_id: uuid.UUID | None = None) -> Kit:
    """Begin a kit; its lines come after.

    Raises:
        Refused: it has no name, or one that is taken.
    """
    kit = Kit(name=name.strip(), note=note.strip(), changed_by=by)
    _refuse_odd(kit)
    kit.save()
    return kit


@command("change_kit", needs=Permission.EDIT_PARTS, writes_to="kit")
def change_kit(
    *, by: Person, kit: Kit, seen_version: int, changes: Mapping[str, Any], entry_id: uuid.UUID | None = None
) -> Kit:
    """Change name and note of a kit, or whether it is offered.

    Raises:
        Conflict: somebody else saved in the meantime.
        Refused: it has no name, or one that is taken.
        ValueError: a field is not one of a kit's.
    """
    if strange := set(changes) - set(CHANGEABLE):
        raise ValueError(f"not a field of a kit: {', '.join(sorted(strange))}")
    wanted = {name: value.strip() if isinstance(value, str) else value for name, value in changes.items()}
    stored = Kit.objects.get(pk=kit.pk)
    for name, value in wanted.items():
        setattr(stored, name, value)
    _refuse_odd(stored)
    apply_changes(kit, seen_version=seen_version, changes=wanted, by=by)
    return kit


@command("add_kit_line", needs=Permission.EDIT_PARTS, writes_to="kit")
def add_kit_line(*, by: Person, kit: Kit, told: Mapping[str, Any], entry_id: uuid.UUID | None = None) -> KitLine:
    """Put a line into a kit.

    Raises:
        Refused: it cannot stand so.
        ValueError: a field is not one of a line's.
    """
    _refuse_strange_fields(told)
    if kit.lines.count() >= MOST_LINES:
        raise Refused(f"A kit has no more than {MOST_LINES} lines.")
    last = kit.lines.aggregate(last=Max("position"))["last"] or 0
    line = KitLine(kit=kit, position=last + 1, changed_by=by)
    put(line, told, shop_profile(), fill=False)
    line.save()
    return line


@command("change_kit_line", needs=Permission.EDIT_PARTS, writes_to="line.kit")
def change_kit_line(
    *, by: Person, line: KitLine, seen_version: int, changes: Mapping[str, Any], entry_id: uuid.UUID | None = None
) -> KitLine:
    """Change a line of a kit. Estimates that took it before stay as they are.

    Raises:
        Conflict: somebody else saved in the meantime.
        Refused: it cannot stand so.
        ValueError: a field is not one of a line's.
    """
    _refuse_strange_fields(changes)
    wished = KitLine.objects.select_related("part").get(pk=line.pk)
    wanted = put(wished, changes, shop_profile(), fill=False)
    apply_changes(line, seen_version=seen_version, changes=wanted, by=by)
    return line


@command("remove_kit_line", needs=Permission.EDIT_PARTS, writes_to="kit")
def remove_kit_line(*, by: Person, kit: Kit, position: int, entry_id: uuid.UUID | None = None) -> Kit:
    """Remove a line from a kit."""
    kit.lines.filter(position=position).delete()
    return kit


def _refuse_odd(kit: Kit) -> None:
    refuse_unsound(kit, ["name", "note"])
    if Kit.objects.exclude(pk=kit.pk).filter(name__iexact=kit.name).exists():
        sentence = "There is a kit of this name."
        raise Refused(sentence, fields={"name": sentence})


def _refuse_strange_fields(told: Mapping[str, Any]) -> None:
    if strange := set(told) - set(FIELDS):
        raise ValueError(f"not a field of a kit's line: {', '.join(sorted(strange))}")
