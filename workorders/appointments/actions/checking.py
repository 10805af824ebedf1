"""What an appointment must be, and what is asked about it once."""

from __future__ import annotations

from datetime import timedelta
from zoneinfo import ZoneInfo

from django.db import connection
from django.db.models import QuerySet
from django.utils import timezone

from commands.questions import ask_once
from commands.refusals import Refused
from vessels.wording import date_words
from workorders.actions.checking import refuse_strange_technician, refuse_unsound
from workorders.appointments.kinds import TAKES_ROOM
from workorders.appointments.models import Appointment
from workorders.appointments.times import MOST_DAYS, NoSuchTimeError, When

EARLIEST, FARTHEST = timedelta(days=366), timedelta(days=2 * 366)
CHECKED = ("kind", "when", "at", "minutes", "days", "name", "phone", "remark")
FEW = 3


def made_sound(one: Appointment, zone: ZoneInfo) -> None:
    """Refuse what cannot be, and work out what the appointment takes of time.

    Raises:
        Refused: with a sentence for each field.
    """
    if one.job is not None and one.vessel is None:
        one.vessel = one.job.vessel
    if one.vessel is None and not one.name:
        sentence = "Choose a boat on record, or write whose boat it is."
        raise Refused(sentence, fields={"name": sentence})
    refuse_unsound(one, CHECKED)
    _refuse_odd_time(one)
    today = timezone.localdate(timezone=zone)
    if not today - EARLIEST <= one.day <= today + FARTHEST:
        sentence = "Check the year: no more than a year ago, and no more than two years ahead."
        raise Refused(sentence, fields={"day": sentence})
    try:
        span = one.span_in(zone)
    except NoSuchTimeError as error:
        raise Refused(str(error), fields={"at": f"{error} Choose another time."}) from error
    one.starts_at, one.ends_at = span.start, span.end
    _refuse_strangers(one)


def _refuse_odd_time(one: Appointment) -> None:
    fields = {}
    if one.when == When.TIME:
        if not one.at:
            fields["at"] = "Enter a time, such as 9:30 AM, or choose a part of the day."
        if one.minutes is None:
            fields["minutes"] = "Enter how long it takes, such as 1.5."
    elif one.at:
        fields["at"] = "Leave the time empty, or choose “At a time”."
    if one.when == When.DAY and one.minutes is not None:
        fields["minutes"] = "Leave this empty for whole days."
    if one.when != When.DAY and one.days != 1:
        fields["days"] = f"More than one day needs “All day”, for up to {MOST_DAYS} days."
    if fields:
        raise Refused("When it is has to be clear.", fields=fields)


def _refuse_strangers(one: Appointment) -> None:
    if one.job is not None and one.job.vessel_id != one.vessel_id:
        raise Refused(f"Job {one.job.number} is for another boat.")
    refuse_strange_technician(one.technician)
    if one.bay is not None and one.bay.ended_at is not None:
        sentence = f"{one.bay} is no longer used. Choose another bay."
        raise Refused(sentence, fields={"bay": sentence})


def ask_what_is_odd(one: Appointment, zone: ZoneInfo) -> None:
    """Ask once about a day that is past, a bay that is taken, and a technician who is elsewhere.

    Raises:
        Questions: nobody answered before.
    """
    today = timezone.localdate(timezone=zone)
    if one.day < today:
        ask_once(
            f"past:{one.day}", f"{date_words(one.day)} is past.", field="day", tick=f"planned for {date_words(one.day)}"
        )
    for name, holder in (("bay", one.bay), ("technician", one.technician)):
        if holder is None:
            continue
        _take_turn(name, holder.pk)
        others = list(meeting(one).filter(**{name: holder}).select_related("vessel")[: FEW + 1])
        if others:
            keys = ",".join(str(other.pk) for other in others)
            words = "; ".join(_said(other) for other in others[:FEW]) + ("; and more" if len(others) > FEW else "")
            ask_once(
                f"{name}:{holder.pk}:{one.starts_at.isoformat()}:{one.ends_at.isoformat()}:{keys}",
                f"{holder} also has on that day: {words}.",
                field=name,
                tick=f"{holder} has both",
            )


def _take_turn(name: str, key: int) -> None:
    """One after the other for each bay and each technician, so that of two at once the second is told of the first."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT pg_advisory_xact_lock(hashtextextended(%s, 0))", [f"appointments:{name}:{key}"])


def meeting(one: Appointment) -> QuerySet[Appointment]:
    """The other appointments that take room in the same time, or in a part of the day in which it may be."""
    states = [state.value for state in TAKES_ROOM]
    found = Appointment.objects.filter(state__in=states, starts_at__lt=one.ends_at, ends_at__gt=one.starts_at)
    return found.exclude(pk=one.pk) if one.pk is not None else found


def _said(other: Appointment) -> str:
    return f"{other}, {date_words(other.day)}, {other.words}"
