"""Appointments as events of the calendar feed."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, time, timedelta

from django.urls import reverse

from workorders.appointments.kinds import TAKES_ROOM
from workorders.appointments.models import Appointment
from workorders.appointments.queries import with_all
from workorders.appointments.times import When
from workorders.calendar.promises import reach_of
from workorders.calendar.sources import Asked, Event, Source
from workorders.labor.checking import shop_zone

NOT_ON_RECORD = "a boat that is not on record yet"


def events(asked: Asked) -> Iterator[Event]:
    """What is planned or happened, without what was missed or called off: two queries, or four with phones.

    Who a boat that is not on record belongs to is told with phones only, and remarks never: people write names there.
    """
    zone = shop_zone()
    start = datetime.combine(asked.first, time(0), zone)
    end = datetime.combine(asked.last + timedelta(days=1), time(0), zone)
    rows = Appointment.objects.filter(
        state__in=[state.value for state in TAKES_ROOM], starts_at__lt=end, ends_at__gt=start
    )
    found = list(with_all(rows).order_by("starts_at", "pk"))
    owners = {one.vessel.owner_id for one in found if one.vessel is not None}
    reach = reach_of(owners) if asked.with_reach else {}
    for one in found:
        yield _event(one, reach if asked.with_reach else None)


def _event(one: Appointment, reach: dict[int, str] | None) -> Event:
    whole = one.when != When.TIME
    who = str(one.vessel) if one.vessel is not None else NOT_ON_RECORD
    said = [f"{one.words.capitalize()}."] if whole else []
    said += [f"{one.technician}."] if one.technician else []
    said += [f"Job {one.job.number}."] if one.job is not None else []
    told = ""
    if reach is not None:
        told = reach.get(one.vessel.owner_id, "") if one.vessel is not None else f"{one.name}, {one.phone}".rstrip(", ")
    return Event(
        key=f"appointment-{one.pk}",
        title=f"{one.get_kind_display()}: {who}",
        starts=one.day if whole else one.starts_at,
        ends=one.day + timedelta(days=one.days - 1) if whole else one.ends_at,
        words=" ".join(said),
        place=str(one.bay or ""),
        reach=told,
        path=reverse("appointments:one", args=[one.pk]),
        whose=one.technician_id,
        is_free=False,
    )


SOURCE = Source("appointments", "Appointments", events, 5)
