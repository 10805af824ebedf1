"""What became of an appointment: it happened, it was missed, it was called off; or that was a slip."""

from __future__ import annotations

import uuid

from django.utils import timezone

from commands.envelope import command, tell
from commands.refusals import Refused
from staff.models import Person
from staff.policy import Permission
from workorders.appointments.kinds import STATE_WORDS, State
from workorders.appointments.models import Appointment, AppointmentChange
from workorders.labor.checking import shop_zone
from workorders.models import Job

MOST_REASON = 200


@command("settle_appointment", needs=Permission.PLAN_APPOINTMENTS, writes_to="appointment")
def settle_appointment(
    *, by: Person, appointment: Appointment, state: str, reason: str = "", entry_id: uuid.UUID | None = None
) -> Appointment:
    """Say what became of an appointment, or that it is planned again. Said twice, nothing happens the second time.

    Raises:
        Refused: it is still to come, no reason is said for calling it off, or somebody said something else before.
    """
    if state not in {one.value for one in State}:
        raise Refused("Say what became of it.")
    stored = Appointment.objects.select_related("changed_by", "job").get(pk=appointment.pk)
    reason = reason.strip()
    if stored.state != state:
        _refuse_odd(stored, State(state), reason)
        _write(stored, State(state), reason, by)
    appointment.refresh_from_db()
    return appointment


@command("keep_with_job", needs=Permission.OPEN_JOBS, writes_to="appointment")
def keep_with_job(*, by: Person, appointment: Appointment, job: Job, entry_id: uuid.UUID | None = None) -> Appointment:
    """The boat came, and its job was opened: the appointment happened, and is of that job and boat.

    Raises:
        Refused: another job was opened from it before, or it is no longer planned.
    """
    stored = Appointment.objects.select_related("job", "changed_by").get(pk=appointment.pk)
    if stored.job is not None and stored.job_id != job.pk:
        raise Refused(f"Job {stored.job.number} was already opened from this appointment. Look at that job first.")
    if stored.vessel_id is not None and stored.vessel_id != job.vessel_id:
        raise Refused("This appointment is of another boat. Open the job of this boat without it.")
    if stored.job_id is None:
        stored.job, stored.vessel = job, job.vessel
        _write(stored, State.KEPT, "", by)
    appointment.refresh_from_db()
    return appointment


def _refuse_odd(stored: Appointment, state: State, reason: str) -> None:
    if len(reason) > MOST_REASON:
        raise Refused(f"Why: no more than {MOST_REASON} characters.", fields={"reason": "Shorten it."})
    if state is State.PLANNED:
        return
    if not stored.is_planned:
        said = STATE_WORDS[State(stored.state)].lower()
        raise Refused(f"{stored.changed_by} noted already: {said}. Plan it again first, if that is not so.")
    if state is State.OFF and not reason:
        raise Refused("Say why it is called off.", fields={"reason": "Say why it is called off."})
    today = timezone.localdate(timezone=shop_zone())
    if state is State.KEPT and stored.day > today:
        raise Refused("This appointment is on a later day. Move it to today first, if it happened today.")
    if state is State.MISSED and stored.starts_at > timezone.now():
        raise Refused("This appointment is still to come. It cannot be missed yet.")


def _write(stored: Appointment, state: State, reason: str, by: Person) -> None:
    before, stored.state = stored.state, state.value
    stored.reason = reason if state is not State.PLANNED else ""
    stored.changed_by = by
    stored.version += 1
    stored.save(update_fields=["state", "reason", "changed_by", "version", "job", "vessel"])
    done = "again" if state is State.PLANNED else state.value
    AppointmentChange.objects.create(appointment=stored, done=done, reason=reason, at=timezone.now(), by=by)
    tell(state=[before, state.value])
