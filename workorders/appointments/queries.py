"""What is asked about appointments."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from django.db.models import QuerySet
from django.utils import timezone

from vessels.models import Vessel
from workorders.appointments.kinds import State
from workorders.appointments.models import Appointment, Bay
from workorders.models import Job

FEW = 5


def bays() -> QuerySet[Bay]:
    """The bays in use, in their order."""
    return Bay.objects.filter(ended_at=None)


def with_all(found: QuerySet[Appointment]) -> QuerySet[Appointment]:
    """Appointments with what their rows show."""
    return found.select_related("vessel__owner", "bay", "technician", "job")


def between(start: datetime, end: datetime) -> list[Appointment]:
    """Every appointment that takes time from one moment until another, in order; those called off among them."""
    return list(with_all(Appointment.objects.filter(starts_at__lt=end, ends_at__gt=start)).order_by("starts_at", "pk"))


def planned_of(*, vessel: Vessel | None = None, job: Job | None = None) -> Sequence[Appointment]:
    """What is planned for a boat or a job: what was not settled, the next first, in one query."""
    found = Appointment.objects.filter(state=State.PLANNED)
    found = found.filter(job=job) if job is not None else found.filter(vessel=vessel)
    return list(with_all(found).order_by("starts_at", "pk")[:FEW])


def open_now() -> QuerySet[Appointment]:
    """What is still planned, and its time is over: somebody has to say what became of it."""
    found = Appointment.objects.filter(state=State.PLANNED, ends_at__lte=timezone.now())
    return with_all(found).order_by("starts_at", "pk")
