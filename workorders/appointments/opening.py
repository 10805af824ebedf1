"""A job is opened from an arrival: boat and words are carried over, and the arrival happened."""

from __future__ import annotations

from functools import partial
from uuid import UUID

from staff.models import Person
from web.typed import whole_number
from workorders.appointments.actions.settling import keep_with_job
from workorders.appointments.models import Appointment
from workorders.models import Job
from workorders.opening_from import Carried


def carried(key: str) -> Carried | None:
    """What an appointment carries into the form that opens a job; None where there is none."""
    pk = whole_number(key)
    one = Appointment.objects.select_related("vessel").filter(pk=pk).first() if pk is not None else None
    if one is None:
        return None
    return Carried(
        key=f"appointment:{one.pk}",
        words=f"{one.get_kind_display()}, {one.words}",
        choice=f"boat:{one.vessel_id}" if one.vessel_id is not None else "new",
        opened=partial(_opened, one),
        concern=one.remark,
        customer_name="" if one.vessel_id is not None else one.name,
        phone="" if one.vessel_id is not None else one.phone,
        technician_id=one.technician_id,
    )


def _opened(one: Appointment, by: Person, job: Job, entry_id: UUID | None) -> object:
    return keep_with_job(by=by, appointment=one, job=job, entry_id=entry_id)
