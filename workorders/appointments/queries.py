"""What is asked about appointments."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime, timedelta
from typing import NamedTuple

from django.db.models import QuerySet
from django.utils import timezone

from vessels.models import Vessel
from vessels.models.hulls import vessel_words
from web.rows import rows
from workorders.appointments.kinds import KIND_WORDS, STATE_WORDS, Kind, State
from workorders.appointments.models import Appointment, Bay
from workorders.appointments.times import MOST_DAYS, When, time_of, when_words
from workorders.models import Job

FEW = 5


def bays() -> QuerySet[Bay]:
    """The bays in use, in their order."""
    return Bay.objects.filter(ended_at=None)


def with_all(found: QuerySet[Appointment]) -> QuerySet[Appointment]:
    """Appointments with what their rows show."""
    return found.select_related("vessel__owner", "bay", "technician", "job")


class Slot(NamedTuple):
    """An appointment as a calendar shows it, with the names of its bay and its technician."""

    pk: int
    kind: str
    state: str
    day: date
    when: str
    at: str
    minutes: int | None
    days: int
    starts_at: datetime
    ends_at: datetime
    bay_id: int | None
    bay: str
    technician_id: int | None
    technician: str
    name: str
    vessel_id: int | None
    vessel_name: str | None
    maker: str | None
    model: str | None

    @property
    def who(self) -> str:
        """Which boat, or whose."""
        if self.vessel_id is None:
            return self.name
        return vessel_words(self.vessel_name or "", self.maker or "", self.model or "", self.vessel_id)

    @property
    def words(self) -> str:
        """When on its day."""
        return when_words(When(self.when), time_of(self.at), self.minutes, self.days)

    @property
    def kind_words(self) -> str:
        """What for."""
        return KIND_WORDS[Kind(self.kind)]

    @property
    def is_past(self) -> bool:
        """Whether its time is over, and nobody said what became of it."""
        return self.state == State.PLANNED and self.ends_at <= timezone.now()

    @property
    def state_words(self) -> str:
        """What became of it."""
        return STATE_WORDS[State(self.state)]


_SLOTS = """
    SELECT one.id AS pk, one.kind, one.state, one.day, one."when", one.at, one.minutes, one.days, one.starts_at,
           one.ends_at, one.bay_id, COALESCE(bay.name, '') AS bay, one.technician_id,
           COALESCE(person.name, '') AS technician, one.name, one.vessel_id, vessel.name AS vessel_name, vessel.maker,
           vessel.model
    FROM appointments_appointment one LEFT JOIN appointments_bay bay ON bay.id = one.bay_id
    LEFT JOIN staff_person person ON person.id = one.technician_id
    LEFT JOIN vessels_vessel vessel ON vessel.id = one.vessel_id
"""
_BETWEEN = f"""
    {_SLOTS} WHERE one.starts_at < %(end)s::timestamptz AND one.starts_at >= %(earliest)s::timestamptz
      AND one.ends_at > %(start)s::timestamptz
    ORDER BY one.starts_at, one.id
"""


def between(start: datetime, end: datetime) -> list[Slot]:
    """Every appointment that takes time from one moment until another, in order; those called off among them."""
    # None is longer: what began before is over.
    asked = {"start": start, "end": end, "earliest": start - timedelta(days=MOST_DAYS + 1)}
    return rows(Slot, _BETWEEN, asked)


_PLANNED = f"{_SLOTS} WHERE one.state = '{State.PLANNED}'"
_IN_ORDER = f"ORDER BY one.starts_at, one.id LIMIT {FEW}"
_OF_JOB = f"{_PLANNED} AND one.job_id = %(job)s {_IN_ORDER}"
_OF_VESSEL = f"{_PLANNED} AND one.vessel_id = %(vessel)s {_IN_ORDER}"


def planned_of(*, vessel: Vessel | None = None, job: Job | None = None) -> Sequence[Slot]:
    """What is planned for a boat or a job: what was not settled, the next first, in one query."""
    if job is not None:
        return rows(Slot, _OF_JOB, {"job": job.pk})
    return rows(Slot, _OF_VESSEL, {"vessel": vessel.pk if vessel is not None else 0})


def open_now() -> QuerySet[Appointment]:
    """What is still planned, and its time is over: somebody has to say what became of it."""
    found = Appointment.objects.filter(state=State.PLANNED, ends_at__lte=timezone.now())
    return with_all(found).order_by("starts_at", "pk")
