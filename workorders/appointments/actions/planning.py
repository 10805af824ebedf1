"""An appointment is planned, moved, or changed."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from datetime import date
from typing import Any

from django.utils import timezone

from commands.envelope import command
from commands.refusals import Refused
from staff.models import Person
from staff.policy import Permission
from vessels.models import Vessel
from web.versions import apply_changes
from workorders.appointments.actions.checking import ask_what_is_odd, made_sound
from workorders.appointments.models import Appointment, AppointmentChange, Bay
from workorders.labor.checking import shop_zone
from workorders.models import Job

MOVES = ("day", "when", "at", "minutes", "days")
MOST_REASON = 200
TAKES = ("bay", "technician")
CHANGEABLE = ("kind", *MOVES, *TAKES, "vessel", "name", "phone", "job", "remark")


@command("plan_appointment", needs=Permission.PLAN_APPOINTMENTS)
def plan_appointment(
    *,
    by: Person,
    kind: str,
    day: date,
    when: str = "time",
    at: str = "",
    minutes: int | None = None,
    days: int = 1,
    bay: Bay | None = None,
    technician: Person | None = None,
    vessel: Vessel | None = None,
    name: str = "",
    phone: str = "",
    job: Job | None = None,
    remark: str = "",
    entry_id: uuid.UUID | None = None,
) -> Appointment:
    """Plan something for a day. ``at`` is a time of the shop's clock, "09:30".

    Raises:
        Refused: it cannot be as said.
        Questions: the day is past, or the bay or the technician has something else then.
    """
    zone = shop_zone()
    made = Appointment(
        kind=kind, day=day, when=when, at=at, minutes=minutes, days=days, bay=bay, technician=technician,
        vessel=vessel, name=name.strip(), phone=phone.strip(), job=job, remark=remark.strip(), added_at=timezone.now(),
        added_by=by, changed_by=by,
    )  # fmt: skip
    made_sound(made, zone)
    ask_what_is_odd(made, zone)
    made.save()
    AppointmentChange.objects.create(appointment=made, done="planned", by=by, at=made.added_at)
    return made


@command("change_appointment", needs=Permission.PLAN_APPOINTMENTS, writes_to="appointment")
def change_appointment(
    *,
    by: Person,
    appointment: Appointment,
    seen_version: int,
    changes: Mapping[str, Any],
    reason: str = "",
    entry_id: uuid.UUID | None = None,
) -> Appointment:
    """Move an appointment or change what it says; its history keeps what stood there before.

    Raises:
        Conflict: somebody else saved in the meantime.
        Refused: it is no longer planned, or as for a new one.
        Questions: as for a new one.
        ValueError: a field is not to be changed here.
    """
    if strange := set(changes) - set(CHANGEABLE):
        raise ValueError(f"not to be changed here: {', '.join(sorted(strange))}")
    if len(reason.strip()) > MOST_REASON:
        raise Refused(f"Why: no more than {MOST_REASON} characters.", fields={"reason": "Shorten it."})
    zone = shop_zone()
    stored = Appointment.objects.get(pk=appointment.pk)
    if not stored.is_planned:
        raise Refused(f"This appointment is not planned any more: {stored.get_state_display().lower()}.")
    wanted = {name: value.strip() if isinstance(value, str) else value for name, value in changes.items()}
    before = {name: getattr(stored, name) for name in wanted}
    span = (stored.starts_at, stored.ends_at)
    for name, value in wanted.items():
        setattr(stored, name, value)
    made_sound(stored, zone)
    moved = (stored.starts_at, stored.ends_at) != span
    if moved or any(name in wanted and before[name] != wanted[name] for name in TAKES):
        ask_what_is_odd(stored, zone)
    derived = {"starts_at": stored.starts_at, "ends_at": stored.ends_at, "vessel": stored.vessel}
    changed = apply_changes(appointment, seen_version=seen_version, changes={**wanted, **derived}, by=by)
    if changed:
        AppointmentChange.objects.create(
            appointment=appointment,
            done="moved" if set(changed) & {*MOVES} else "changed",
            changes={name: _kept(*both) for name, both in changed.items() if name not in {"starts_at", "ends_at"}},
            reason=reason.strip(),
            at=timezone.now(),
            by=by,
        )
    return appointment


def _kept(before: Any, after: Any) -> list[str]:
    """Before and after as the history keeps them: names of records, texts as they stood."""
    return ["" if value is None else str(value) for value in (before, after)]
