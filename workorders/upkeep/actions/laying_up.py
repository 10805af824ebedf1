"""When a boat is laid up, as data: its hours stand still then, and the months go on."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from datetime import date, timedelta
from typing import Any

from django.utils import timezone

from commands.envelope import command, tell
from commands.refusals import Refused
from staff.models import Person
from staff.policy import Permission
from vessels.models import Vessel
from vessels.wording import date_words
from web.versions import apply_changes
from workorders.actions.checking import refuse_unsound
from workorders.upkeep.models import LayUp

CHANGEABLE = ("from_on", "until_on", "remark")
FARTHEST = timedelta(days=2 * 366)


@command("lay_up", needs=Permission.EDIT_RECORDS, writes_to="vessel")
def lay_up(
    *,
    by: Person,
    vessel: Vessel,
    from_on: date,
    until_on: date | None = None,
    remark: str = "",
    entry_id: uuid.UUID | None = None,
) -> LayUp:
    """Note that a boat is laid up from a day on, until a day where one is known.

    Raises:
        Refused: the days contradict each other or cannot be, or another lay-up covers them.
    """
    made = LayUp(vessel=vessel, from_on=from_on, until_on=until_on, remark=remark.strip(), added_by=by, changed_by=by)
    _refuse_odd(made)
    made.save()
    return made


@command("change_lay_up", needs=Permission.EDIT_RECORDS, writes_to="stay.vessel")
def change_lay_up(
    *, by: Person, stay: LayUp, seen_version: int, changes: Mapping[str, Any], entry_id: uuid.UUID | None = None
) -> LayUp:
    """Change the days, such as the day on which the boat went back in.

    Raises:
        Conflict: somebody else saved in the meantime.
        Refused: it was voided, or as for a new one.
        ValueError: a field is not to be changed here.
    """
    if strange := set(changes) - set(CHANGEABLE):
        raise ValueError(f"not to be changed here: {', '.join(sorted(strange))}")
    stored = LayUp.objects.select_related("vessel").get(pk=stay.pk)
    if stored.struck_at is not None:
        raise Refused("This was voided. Enter it again.")
    wanted = {name: value.strip() if isinstance(value, str) else value for name, value in changes.items()}
    for name, value in wanted.items():
        setattr(stored, name, value)
    _refuse_odd(stored)
    apply_changes(stay, seen_version=seen_version, changes=wanted, by=by)
    return stay


@command("strike_lay_up", needs=Permission.EDIT_RECORDS, writes_to="stay.vessel")
def strike_lay_up(*, by: Person, stay: LayUp, entry_id: uuid.UUID | None = None) -> LayUp:
    """Void a lay-up that never was. Who voids it second changes nothing."""
    stored = LayUp.objects.get(pk=stay.pk)
    if stored.struck_at is None:
        stored.struck_at, stored.struck_by, stored.changed_by = timezone.now(), by, by
        stored.version += 1
        stored.save(update_fields=["struck_at", "struck_by", "changed_by", "version"])
        tell(struck_at=[None, stored.struck_at.isoformat()])
    stay.refresh_from_db()
    return stay


def _refuse_odd(stay: LayUp) -> None:
    refuse_unsound(stay, CHANGEABLE)
    today = timezone.localdate()
    for name in ("from_on", "until_on"):
        day = getattr(stay, name)
        if day is not None and not today - 20 * FARTHEST <= day <= today + FARTHEST:
            sentence = "Check the year."
            raise Refused(sentence, fields={name: sentence})
    if stay.until_on is not None and stay.until_on < stay.from_on:
        sentence = "It cannot end before it began."
        raise Refused(sentence, fields={"until_on": sentence})
    others = LayUp.objects.filter(vessel=stay.vessel, struck_at=None).exclude(pk=stay.pk)
    for other in others:
        begins_before = other.until_on is None or stay.from_on <= other.until_on
        if begins_before and (stay.until_on is None or other.from_on <= stay.until_on):
            until = f" until {date_words(other.until_on)}" if other.until_on else ", with no end said"
            sentence = f"The boat is laid up from {date_words(other.from_on)}{until} already. Change that instead."
            raise Refused(sentence, fields={"from_on": sentence})
